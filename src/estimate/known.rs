//! The items that the take-off names, each found once when a price book is read. It knows codes, no prices.

use super::cause::Cause;
use super::price_book::ItemIndex;
use crate::reference::{Cable, CableFamily};
use crate::site::GroundSurface;

macro_rules! known {
    ($($field:ident = $code:literal),+ $(,)?) => {
        /// Where each item named by the take-off stands in the price book.
        #[derive(Clone, Debug)]
        pub(super) struct Known {
            $(pub $field: ItemIndex,)+
            /// Cables by family and cores, then by size.
            cables: Vec<Vec<(f64, ItemIndex)>>,
            trench: Vec<ItemIndex>,
            dig: Vec<ItemIndex>,
            /// Depth dug and depth priced, by surface.
            depths: Vec<(ItemIndex, ItemIndex)>,
            /// Shares of the doubt of each cause that are common to all sites and to one, in the order of the causes.
            pub doubt: Vec<(ItemIndex, ItemIndex)>,
        }

        /// Codes of the single items, for the tests.
        #[cfg(test)]
        pub(super) const CODES: &[&str] = &[$($code),+];

        impl Known {
            /// Finds every item; the error is the first code that the book does not hold.
            pub(super) fn find(index: impl Fn(&str) -> Option<ItemIndex>) -> Result<Self, String> {
                let find = |code: &str| index(code).ok_or_else(|| code.to_owned());
                let by_size = |stem: &str, sizes: &[f64]| -> Result<Vec<(f64, ItemIndex)>, String> {
                    sizes.iter().map(|size| Ok((*size, find(&format!("{stem}-{size}"))?))).collect()
                };
                let by_ground = |stem: &str| -> Result<Vec<ItemIndex>, String> {
                    GroundSurface::ALL.iter().map(|surface| find(&format!("{stem}-{}", surface.word()))).collect()
                };
                Ok(Self {
                    $($field: find($code)?,)+
                    cables: STEMS
                        .iter()
                        .map(|stem| by_size(stem, if *stem == STEMS[0] { FLAT_SIZES } else { SIZES }))
                        .collect::<Result<_, String>>()?,
                    trench: by_ground("trench")?,
                    dig: by_ground("dig")?,
                    depths: by_ground("trench-depth")?.into_iter().zip(by_ground("trench-priced-depth")?).collect(),
                    doubt: Cause::ALL
                        .iter()
                        .map(|cause| {
                            let code = |end: &str| format!("doubt-{}-{end}", cause.word());
                            Ok((find(&code("everywhere"))?, find(&code("site"))?))
                        })
                        .collect::<Result<_, String>>()?,
                })
            }
        }
    };
}

/// Stems of cable codes: flat, armoured by cores, single.
pub(super) const STEMS: [&str; 6] = [
    "cable-twin-and-earth",
    "cable-armoured-2c",
    "cable-armoured-3c",
    "cable-armoured-4c",
    "cable-armoured-5c",
    "cable-singles",
];
/// Sizes of twin-and-earth in the price book, mm2.
pub(super) const FLAT_SIZES: &[f64] = &[2.5, 4.0, 6.0, 10.0, 16.0];
/// Sizes of the other cables in the price book, mm2.
pub(super) const SIZES: &[f64] = &[2.5, 4.0, 6.0, 10.0, 16.0, 25.0, 35.0, 50.0, 70.0, 95.0];

known! {
    one_visit_share = "one-visit-share", one_visit_saving = "one-visit-saving",
    cable_waste = "cable-waste", cable_slack = "cable-slack",
    bonding_share = "bonding-share", walls_home = "walls-home", walls_shared = "walls-shared",
    cables_a_core = "cables-a-core", draw_pit_spacing = "draw-pit-spacing", crew_day = "crew-day",
    tray_from_runs = "tray-from-runs", added_board_tails = "added-board-tails",
    electrode_conductor_length = "electrode-conductor-length", rod_spacing = "rod-spacing",
    no_access_share = "no-access-share", access_from_storeys = "access-from-storeys",
    charge_point_1ph = "charge-point-1ph", charge_point_3ph = "charge-point-3ph",
    pedestal_twin_1ph = "pedestal-twin-1ph", pedestal_twin_3ph = "pedestal-twin-3ph",
    point_fixings = "point-fixings", post = "post-for-charge-point", open_pen_device_1ph = "open-pen-device-1ph",
    open_pen_device_3ph = "open-pen-device-3ph",
    device_residual_a_2p = "device-residual-a-2p", device_residual_a_4p = "device-residual-a-4p",
    device_residual_b_2p = "device-residual-b-2p", device_residual_b_4p = "device-residual-b-4p",
    breaker_2p = "breaker-2p", breaker_4p = "breaker-4p", higher_breaking = "higher-breaking-device",
    submain_device_63 = "submain-device-63", submain_device_125 = "submain-device-125",
    submain_device_250 = "submain-device-250", residual_delayed = "residual-delayed-100",
    board_small = "board-small", board_small_3ph = "board-small-3ph", board_distribution_1ph = "board-distribution-1ph",
    board_distribution_3ph = "board-distribution-3ph", feeder_pillar = "feeder-pillar",
    connector_blocks = "connector-blocks-pair", isolator_2p = "isolator-2p", isolator_4p = "isolator-4p",
    isolation_visit = "isolation-visit", tails = "tails-25",
    surge_1ph = "surge-protection-1ph", surge_3ph = "surge-protection-3ph",
    arc_fault = "arc-fault-device",
    bonding_parts = "bonding-parts", earth_rod = "earth-rod", electrode_conductor = "electrode-conductor",
    limiter_sensor = "limiter-sensor", group_controller = "group-controller", data_cable = "data-cable",
    network_link = "network-link",
    gland_small = "gland-armoured-small", gland_medium = "gland-armoured-medium",
    gland_large = "gland-armoured-large",
    clips_small = "clips-small", clips_medium = "clips-medium", clips_large = "clips-large",
    cable_entry = "cable-entry", trunking = "trunking-mini", conduit = "conduit", tray = "cable-tray",
    joint_box_small = "joint-box-small", joint_box_large = "joint-box-large",
    core_drill = "core-drill-parts", fire_stopping = "fire-stopping-parts",
    marker_tape = "marker-tape", duct = "duct", draw_pit = "draw-pit", base = "base-concrete",
    service_search = "service-search", street_works = "street-works-package",
    barrier = "barrier", bay_marking = "bay-marking", labels = "labels", asbestos_survey = "asbestos-survey",
    access_equipment = "access-equipment", lost_visit = "lost-visit",
    trench_depth_share = "trench-depth-share",
    travel = "travel-and-set-up", mount_1ph = "mount-charge-point-1ph", mount_3ph = "mount-charge-point-3ph",
    set_pedestal = "set-pedestal-twin", set_post = "set-post",
    lay_clipped_small = "lay-clipped-small", lay_clipped_medium = "lay-clipped-medium",
    lay_clipped_large = "lay-clipped-large",
    lay_indoors_small = "lay-indoors-small", lay_indoors_medium = "lay-indoors-medium",
    lay_indoors_large = "lay-indoors-large",
    lay_ground_small = "lay-in-ground-small", lay_ground_medium = "lay-in-ground-medium",
    lay_ground_large = "lay-in-ground-large",
    lay_tray_small = "lay-on-tray-small", lay_tray_medium = "lay-on-tray-medium",
    lay_tray_large = "lay-on-tray-large",
    erect_conduit = "erect-conduit", lay_data = "lay-data-cable",
    gland_end_small = "gland-end-small", gland_end_medium = "gland-end-medium", gland_end_large = "gland-end-large",
    fit_tray = "fit-tray", fit_device = "fit-device", fit_further_device = "fit-further-device",
    fit_submain_device = "fit-submain-device", fit_board_small = "fit-board-small",
    fit_board_small_3ph = "fit-board-small-3ph",
    fit_distribution_board = "fit-distribution-board", set_pillar = "set-feeder-pillar",
    replace_tails = "replace-tails", fit_isolator = "fit-isolator", upgrade_bonding = "upgrade-bonding",
    drive_rod = "drive-rod", fit_surge = "fit-surge-protection",
    fit_arc_fault = "fit-arc-fault-device", fit_open_pen = "fit-open-pen-device",
    fit_limiter = "fit-limiter", set_up_group = "set-up-group-control", fit_link = "fit-network-link",
    fit_joint_box = "fit-joint-box", drill_wall = "drill-wall", fire_stop = "fire-stop",
    build_draw_pit = "build-draw-pit", cast_base = "cast-base", fix_barrier = "fix-barrier",
    test_first = "test-and-certify", test_further = "test-further-point", certificate = "certificate-and-notice",
    liaison_home = "liaison-home", liaison_site = "liaison-site",
    application_home = "operator-application-home", application_site = "operator-application-site",
    design_shared = "design-shared-supply",
}

impl Known {
    /// The price line of a cable, and by how much its length is multiplied. A size that has no line is priced as the
    /// next larger; beyond the largest, as the largest in proportion to the copper.
    pub(super) fn cable(&self, cable: &Cable) -> Option<(ItemIndex, f64)> {
        let group = match cable.family {
            CableFamily::TwinAndEarth => 0,
            CableFamily::ArmouredXlpe | CableFamily::ArmouredPvc => usize::from(cable.cores.clamp(2, 5)) - 1,
            CableFamily::Singles => 5,
        };
        let sizes = self.cables.get(group)?;
        match sizes.iter().find(|(size, _)| *size >= cable.csa_mm2 - 1e-9) {
            Some((_, item)) => Some((*item, 1.0)),
            None => sizes.last().map(|(size, item)| (*item, cable.csa_mm2 / size)),
        }
    }

    /// The trench line of a surface; the dearest where the list does not hold it (it holds all: a test says so).
    pub(super) fn trench(&self, surface: GroundSurface) -> Option<ItemIndex> {
        self.trench.get(surface as usize).or(self.trench.last()).copied()
    }

    /// How deep a trench is dug in a surface, and at which depth its lines are priced.
    pub(super) fn depths(&self, surface: GroundSurface) -> Option<(ItemIndex, ItemIndex)> {
        self.depths.get(surface as usize).or(self.depths.last()).copied()
    }

    /// The digging task of a surface.
    pub(super) fn dig(&self, surface: GroundSurface) -> Option<ItemIndex> {
        self.dig.get(surface as usize).or(self.dig.last()).copied()
    }
}
