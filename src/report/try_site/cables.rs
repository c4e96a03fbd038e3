//! The cables of the sheet: kinds to choose from, their rows of the tables, how each is laid.

use super::evaluate::Value;
use super::tables::{Block, Column};
use crate::reference::{Cable, CableFamily, CableRow, Loaded, Method, armoured, singles, twin_and_earth};
use crate::rules::{AboveGround, Rules};

/// Cable families with the cores that they are used with.
const FAMILIES: [(CableFamily, &[u8]); 4] = [
    (CableFamily::TwinAndEarth, &[2]),
    (CableFamily::ArmouredXlpe, &[2, 3, 4, 5]),
    (CableFamily::ArmouredPvc, &[2, 3, 4, 5]),
    (CableFamily::Singles, &[2, 4]),
];

/// A cable without its size, in a word.
pub(super) fn cable_word(family: CableFamily, cores: u8) -> String {
    match family {
        CableFamily::TwinAndEarth => family.word().to_owned(),
        CableFamily::Singles => format!("singles in conduit, {cores} live"),
        _ => format!("{} {cores}-core", family.word()),
    }
}

/// The cable of a circuit without its size: one throughout, or twin-and-earth jointed to an armoured one.
pub(super) fn kind_word(cables: &[Cable]) -> String {
    cables.iter().map(|cable| cable_word(cable.family, cable.cores)).collect::<Vec<_>>().join(", then ")
}

pub(super) fn kinds() -> Block {
    let phases = |cores: u8| if cores >= 4 { 3.0 } else { 1.0 };
    let core = |family: CableFamily, cores: u8| -> Value {
        let armour = matches!(family, CableFamily::ArmouredXlpe | CableFamily::ArmouredPvc) && matches!(cores, 2 | 4);
        if armour { "no" } else { "yes" }.into()
    };
    let mut rows: Vec<Vec<Value>> = Vec::new();
    let pairs = || FAMILIES.iter().flat_map(|(family, cores)| cores.iter().map(move |cores| (*family, *cores)));
    for (family, cores) in pairs() {
        let word = cable_word(family, cores);
        rows.push(vec![
            word.as_str().into(),
            word.as_str().into(),
            "none".into(),
            phases(cores).into(),
            core(family, cores),
        ]);
    }
    let indoors = cable_word(CableFamily::TwinAndEarth, 2);
    for (family, cores) in pairs()
        .filter(|(family, cores)| matches!(family, CableFamily::ArmouredXlpe | CableFamily::ArmouredPvc) && *cores <= 3)
    {
        let beyond = cable_word(family, cores);
        let word = format!("{indoors}, then {beyond}");
        rows.push(vec![
            word.as_str().into(),
            indoors.as_str().into(),
            beyond.as_str().into(),
            1.0.into(),
            core(family, cores),
        ]);
    }
    Block::new(
        "Cables to choose from",
        &[
            ("kind_words", "cable"),
            ("kind_firsts", "cable, or its part indoors"),
            ("kind_seconds", "beyond a joint"),
            ("kind_phases", "phases that it serves at most"),
            ("kind_cores", "a core or bare conductor as protective conductor all the way"),
        ],
        rows,
    )
}

fn rows_of(family: CableFamily, cores: u8) -> &'static [CableRow] {
    match family {
        CableFamily::TwinAndEarth => twin_and_earth(),
        CableFamily::Singles => singles(cores),
        family => armoured(family, cores),
    }
}

fn every_cable() -> impl Iterator<Item = &'static CableRow> {
    FAMILIES.iter().flat_map(|(family, cores)| cores.iter().flat_map(|cores| rows_of(*family, *cores)))
}

pub(super) fn sizes_mm2() -> Vec<f64> {
    let mut sizes: Vec<f64> = every_cable().map(|row| row.cable.csa_mm2).collect();
    sizes.sort_by(f64::total_cmp);
    sizes.dedup();
    sizes
}

/// Methods with a column of ratings, each for one phase loaded and for three.
const METHODS: [Method; 8] =
    [Method::B, Method::C, Method::D, Method::E, Method::M100, Method::M101, Method::M102, Method::M103];

pub(super) fn cables() -> Block {
    let mut columns: Vec<(&'static str, String)> =
        [("cable_numbers", "number"), ("cable_words", "cable"), ("cable_mm2s", "size, mm²")]
            .map(|(name, title)| (name, title.to_owned()))
            .to_vec();
    let first = columns.len();
    for method in METHODS {
        columns.push(("", format!("{} one", method.word())));
        columns.push(("", format!("{} three", method.word())));
    }
    let last = columns.len() - 1;
    columns.extend(
        [
            ("cable_z_one", "drop z, mV/A/m"),
            ("cable_x_one", "of it x"),
            ("cable_r20", "line at 20 °C, mΩ/m"),
            ("cable_line_k", "k of the line"),
            ("cable_pe_mm2s", "protective conductor, mm²"),
            ("cable_pe_r20", "it at 20 °C, mΩ/m"),
            ("cable_pe_hot", "hot, times"),
            ("cable_pe_x", "its reactance, mΩ/m"),
            ("cable_pe_k", "its k"),
            ("cable_pe_leasts", "least by Table 54.7, mm²"),
            ("", "ratings from"),
            ("", "status"),
            ("", "drop from"),
            ("", "status"),
        ]
        .map(|(name, title)| (name, title.to_owned())),
    );
    let rows = every_cable().enumerate().map(|(index, row)| {
        let mut cells: Vec<Value> = vec![
            (index as f64 + 1.0).into(),
            cable_word(row.cable.family, row.cable.cores).as_str().into(),
            row.cable.csa_mm2.into(),
        ];
        for method in METHODS {
            for loaded in [Loaded::One, Loaded::Three] {
                cells.push(row.capacity_a(method, loaded).map_or(Value::from("none"), Value::Number));
            }
        }
        let protective = &row.protective;
        cells.extend(
            [
                row.drop_mv_per_a_m(Loaded::One),
                row.drop.x_mv[0],
                row.r20_mohm_per_m,
                row.line_k,
                protective.csa_mm2,
                protective.r20_mohm_per_m,
                protective.hot_factor,
                protective.reactance_mohm_per_m,
                protective.k,
                protective.least_csa_mm2,
            ]
            .map(Value::Number),
        );
        cells.extend([row.rating_source, row.rating_status, row.drop_source, row.drop_status].map(Value::from));
        cells
    });
    Block {
        title: "Cables: ratings by reference method and conductors loaded, drop, conductors",
        rows: rows.collect(),
        columns: columns.into_iter().map(|(name, title)| Column { name, title }).collect(),
        spans: vec![("cable_ratings", first, last, false), ("rating_heads", first, last, true)],
    }
}

pub(super) fn laying(rules: &Rules) -> Block {
    let (armoured_method, armoured_bundle) = match rules.route.armoured_above_ground {
        AboveGround::Clipped => ("C", "bunched"),
        AboveGround::SingleLayer => ("C", "layer"),
        AboveGround::Tray => ("E", "tray"),
    };
    let by_table = rules.route.twin_and_earth_in_insulation.method().map(|method| method.word());
    let row = |family: CableFamily, cores: u8| -> Vec<Value> {
        let (method, bundle, lagged, table, outdoors, ground) = match family {
            CableFamily::TwinAndEarth => {
                ("C", "bunched", by_table.unwrap_or("C"), if by_table.is_some() { "yes" } else { "no" }, "no", "no")
            }
            CableFamily::Singles => ("B", "bunched", "B", "no", "yes", "no"),
            _ => (armoured_method, armoured_bundle, "C", "no", "yes", "yes"),
        };
        let word = cable_word(family, cores);
        let mut cells = vec![Value::from(word.as_str())];
        cells.extend([method, bundle, lagged, table, outdoors, ground, "rules, [route]; Appendix 4"].map(Value::from));
        cells
    };
    Block::new(
        "How a cable is laid",
        &[
            ("laying_words", "cable"),
            ("laying_methods", "method above ground"),
            ("laying_bundles", "grouping above ground"),
            ("laying_lagged", "method through insulation"),
            ("laying_by_table", "its table holds the insulation"),
            ("laying_outdoors", "may lie outdoors"),
            ("laying_ground", "may lie in the ground"),
            ("", "source"),
        ],
        FAMILIES.iter().flat_map(|(family, cores)| cores.iter().map(move |cores| row(*family, *cores))).collect(),
    )
}
