//! Every topic but `circuit`: one formula or look-up of the library, its inputs and its figures by name.

use super::case::{Figure, Figures, Inputs};
use crate::tables::{Row, table};
use baywright::design as d;
use baywright::energy as e;
use baywright::reference as r;

type Found = Result<Figures, String>;

fn of(figures: &[(&str, f64)]) -> Found {
    Ok(figures.iter().map(|(name, value)| ((*name).to_owned(), Figure::Number(*value))).collect())
}

fn yes_no(holds: bool) -> Figure {
    Figure::Word(if holds { "yes" } else { "no" }.into())
}

pub fn figures(topic: &str, inputs: &Inputs<'_>) -> Found {
    match topic {
        "adiabatic" => adiabatic(inputs),
        "fault-current" => fault_current(inputs),
        "drop" => drop(inputs),
        "drop-temperature" => drop_temperature(inputs),
        "long-run" => long_run(inputs),
        "let-through" => let_through(inputs),
        "factors" => factors(inputs),
        "table-cell" => table_cell(inputs),
        "disconnection" => disconnection(inputs),
        "armour-loop" => armour_loop(inputs),
        "protective-by-table" => protective_by_table(inputs),
        "rod" => rod(inputs),
        "tt" => tt(inputs),
        "open-pen" => open_pen(inputs),
        "cooker" => {
            of(&[("after_diversity_a", d::cooker_paper_demand_a(inputs.number("full_load_a")?, inputs.flag("socket")))])
        }
        "household" => household(inputs),
        "small-premises" => small_premises(inputs),
        "cutting" => cutting(inputs),
        "charging-group" => charging_group(inputs),
        other => Err(format!("no such topic as {other:?}")),
    }
}

/// Standard conductor sizes, from the table of resistances.
fn next_size_mm2(least: f64) -> f64 {
    const SIZES: [f64; 13] = [1.0, 1.5, 2.5, 4.0, 6.0, 10.0, 16.0, 25.0, 35.0, 50.0, 70.0, 95.0, 120.0];
    SIZES
        .into_iter()
        .filter(|size| r::conductor_r20_mohm_per_m(*size).is_some())
        .find(|size| *size >= least)
        .unwrap_or(f64::INFINITY)
}

fn adiabatic(inputs: &Inputs<'_>) -> Found {
    let fault_a = match inputs.optional("fault_current_a") {
        Some(fault_a) => fault_a,
        None => d::fault_current_a(inputs.number("volts")?, inputs.number("loop_ohm")?),
    };
    let least = d::adiabatic_mm2(fault_a, inputs.number("seconds")?, inputs.number("k")?);
    let mut figures =
        of(&[("fault_current_a", fault_a), ("s_min_mm2", least), ("next_size_mm2", next_size_mm2(least))])?;
    if let Some(conductor) = inputs.optional("conductor_mm2") {
        figures.insert("holds".into(), yes_no(conductor >= least));
    }
    Ok(figures)
}

/// The loop as one figure, or as a network: resistances in series, resistances beside each other, reactances.
fn fault_current(inputs: &Inputs<'_>) -> Found {
    let loop_ohm = match inputs.optional("loop_ohm") {
        Some(loop_ohm) => loop_ohm,
        None => {
            let beside: f64 = inputs.list("parallel_ohm").iter().map(|ohm| 1.0 / ohm).sum();
            let series: f64 = inputs.list("series_ohm").iter().sum();
            let resistance = series + if beside > 0.0 { 1.0 / beside } else { 0.0 };
            resistance.hypot(inputs.list("reactance_ohm").iter().sum())
        }
    };
    of(&[("loop_ohm", loop_ohm), ("fault_current_a", d::fault_current_a(inputs.number("volts")?, loop_ohm))])
}

/// Ct of a tabulated drop, and the conductor temperature that it stands for.
fn drop_temperature(inputs: &Inputs<'_>) -> Found {
    let table_c = inputs.number("table_c")?;
    let factor: f64 = inputs.list("factors").iter().product();
    let (design_a, tabulated_a) = (inputs.number("design_a")?, inputs.number("tabulated_a")?);
    let ct = d::drop_temperature_factor(table_c, inputs.number("base_c")?, factor, design_a, tabulated_a);
    let mut figures = of(&[("ct", ct), ("conductor_c", ct * (230.0 + table_c) - 230.0)])?;
    if let Some(drop_v) = inputs.optional("drop_v") {
        figures.insert("corrected_drop_v".into(), Figure::Number(ct * drop_v));
    }
    Ok(figures)
}

fn long_run(inputs: &Inputs<'_>) -> Found {
    let plain = inputs.number("limit_percent")?;
    let lengths = inputs.list("lengths_m");
    let limits = lengths.iter().map(|metres| {
        let limit = d::long_run_limit_percent(plain, *metres);
        (format!("limit_at_{metres}_m_percent"), Figure::Number(limit))
    });
    Ok(limits.collect())
}

/// Most energy that a breaker lets through, at each fault named; "none" where nothing bounds it.
fn let_through(inputs: &Inputs<'_>) -> Found {
    let curve = match inputs.text("curve")? {
        "B" => r::Curve::B,
        "C" => r::Curve::C,
        "D" => r::Curve::D,
        other => return Err(format!("no curve {other:?}")),
    };
    let device_a = inputs.number("device_a")?;
    let levels = inputs.list("fault_ka");
    let energies = levels.iter().map(|fault_ka| {
        let energy = d::most_energy_a2s(curve, device_a, *fault_ka);
        (format!("at_{fault_ka}_ka_a2s"), energy.map_or(Figure::Word("none".into()), Figure::Number))
    });
    Ok(energies.collect())
}

fn drop(inputs: &Inputs<'_>) -> Found {
    let (drop_mv, current_a) = (inputs.number("mv_per_a_m")?, inputs.number("current_a")?);
    let drop_v = d::drop_v(drop_mv, current_a, inputs.number("length_m")?);
    let mut figures = of(&[("drop_v", drop_v)])?;
    if let Some(base_v) = inputs.optional("base_v") {
        figures.extend(of(&[("drop_percent", 100.0 * drop_v / base_v)])?);
    }
    if let Some(limit_v) = inputs.optional("limit_v") {
        figures.insert("holds".into(), yes_no(drop_v <= limit_v));
        figures.insert("longest_m".into(), Figure::Number(limit_v / d::drop_v(drop_mv, current_a, 1.0)));
    }
    Ok(figures)
}

/// Factors looked up by the library for the conditions named, and those a publication gives itself.
fn factors(inputs: &Inputs<'_>) -> Found {
    let mut all = inputs.list("given");
    let mut figures = Figures::new();
    let mut take = |name: &str, factor: Option<f64>| -> Result<(), String> {
        let factor = factor.ok_or_else(|| format!("{name}: beyond the table"))?;
        figures.insert(name.to_owned(), Figure::Number(factor));
        all.push(factor);
        Ok(())
    };
    if let Some(celsius) = inputs.optional("ambient_c") {
        take("ca", r::ambient_air(celsius))?;
    }
    if let Some(celsius) = inputs.optional("ground_c") {
        take("ca_ground", r::ambient_ground(celsius))?;
    }
    if let Some(circuits) = inputs.optional("grouped") {
        take("cg", r::Grouping::Bunched.factor(circuits))?;
    }
    if let Some(circuits) = inputs.optional("grouped_buried") {
        take("cg_buried", r::Grouping::Buried.factor(circuits))?;
    }
    if let Some(length_m) = inputs.optional("insulated_m") {
        take("ci", Some(r::insulation(length_m)))?;
    }
    if inputs.flag("buried_overload") {
        take("cc", Some(r::buried_overload()))?;
    }
    if let Some(device_a) = inputs.optional("device_a") {
        let least = d::least_tabulated_a(device_a, &all);
        figures.insert("least_tabulated_a".into(), Figure::Number(least));
        let sizes = inputs.list("sizes_mm2");
        let ratings = inputs.list("ratings_a");
        if let Some((size, rating)) = sizes.iter().zip(&ratings).find(|(_, rating)| **rating >= least) {
            figures.insert("chosen_mm2".into(), Figure::Number(*size));
            figures.insert("chosen_a".into(), Figure::Number(*rating));
        }
    }
    if let Some(table_a) = inputs.optional("tabulated_a") {
        let capacity = table_a * all.iter().product::<f64>();
        figures.insert("iz_a".into(), Figure::Number(capacity));
    }
    Ok(figures)
}

fn row(inputs: &Inputs<'_>) -> Result<&'static r::CableRow, String> {
    let family = match inputs.text("family")? {
        "twin-and-earth" => r::CableFamily::TwinAndEarth,
        "armoured-xlpe" => r::CableFamily::ArmouredXlpe,
        "armoured-pvc" => r::CableFamily::ArmouredPvc,
        "singles" => r::CableFamily::Singles,
        other => return Err(format!("the engine chooses no cable {other:?}")),
    };
    let cable = r::Cable { family, cores: inputs.number("cores")? as u8, csa_mm2: inputs.number("csa_mm2")? };
    r::cable_row(cable).ok_or_else(|| format!("no row for {}", cable.words()))
}

fn table_cell(inputs: &Inputs<'_>) -> Found {
    let row = row(inputs)?;
    let loaded = match inputs.number("loaded_phases")? {
        3.0 => r::Loaded::Three,
        _ => r::Loaded::One,
    };
    let mut figures =
        of(&[("mv_per_a_m", row.drop_mv_per_a_m(loaded)), ("line_k", row.line_k), ("protective_k", row.protective.k)])?;
    let device_a = inputs.optional("device_a");
    use r::Method::{A, B, C, D, E, M100, M101, M102, M103};
    for method in [A, B, C, D, E, M100, M101, M102, M103] {
        if let Some(rating) = row.capacity_a(method, loaded) {
            let name = format!("method_{}_a", method.word());
            figures.insert(name, Figure::Number(rating));
            if let Some(device_a) = device_a {
                let name = format!("method_{}_holds", method.word());
                figures.insert(name, yes_no(device_a <= rating));
            }
        }
    }
    Ok(figures)
}

/// The three characteristics at one rating, and what a cold circuit may measure.
fn disconnection(inputs: &Inputs<'_>) -> Found {
    let rating_a = inputs.number("rating_a")?;
    let mut figures = Figures::new();
    for curve in [r::Curve::B, r::Curve::C, r::Curve::D] {
        let limit = r::zs_limit_ohm(curve, rating_a);
        let letter = curve.word().to_lowercase();
        figures.insert(format!("{letter}_limit_ohm"), Figure::Number(limit));
        figures.insert(format!("{letter}_cold_limit_ohm"), Figure::Number(0.8 * limit));
    }
    Ok(figures)
}

fn armour_loop(inputs: &Inputs<'_>) -> Found {
    let mut row = row(inputs)?.clone();
    if let Some(printed) = inputs.optional("armour_r20_mohm_per_m") {
        row.protective.r20_mohm_per_m = printed;
    }
    let metres = inputs.number("length_m")?;
    let ze = inputs.optional("ze_ohm").unwrap_or_default();
    let cold = ze + row.loop_cold_mohm_per_m() * metres / 1000.0;
    let mut figures = of(&[
        ("zs_hot_ohm", ze + row.loop_hot_mohm_per_m() * metres / 1000.0),
        ("zs_cold_ohm", cold),
        ("armour_r20_mohm_per_m", row.protective.r20_mohm_per_m),
        ("protective_mm2", row.protective.csa_mm2),
    ])?;
    if let Some(volts) = inputs.optional("volts") {
        let fault_a = d::fault_current_a(volts, cold);
        let least = d::adiabatic_mm2(fault_a, inputs.number("seconds")?, inputs.number("k")?);
        figures.extend(of(&[("fault_current_a", fault_a), ("s_min_mm2", least)])?);
        let holds = yes_no(row.protective.csa_mm2 >= least);
        figures.insert("holds".into(), holds);
    }
    Ok(figures)
}

fn protective_by_table(inputs: &Inputs<'_>) -> Found {
    let row = row(inputs)?;
    let least = r::table_54_7_mm2(row.cable.csa_mm2) * inputs.number("k_line")? / inputs.number("k_protective")?;
    // Of three and five cores the engine takes a core: their armour is looked up in the table itself.
    let protective_mm2 = if inputs.flag("armour_beside_a_core") {
        let armours = table("armour_xlpe.csv");
        let cable = [f64::from(row.cable.cores), row.cable.csa_mm2];
        let of_cable = |armour: &&Row| ["cores", "csa_mm2"].map(|column| armour.number(column)) == cable;
        armours.iter().find(of_cable).ok_or("no armour of this cable is tabulated")?.number("armour_csa_mm2")
    } else {
        row.protective.csa_mm2
    };
    let mut figures = of(&[("least_mm2", least), ("protective_mm2", protective_mm2)])?;
    figures.insert("holds".into(), yes_no(protective_mm2 >= least));
    Ok(figures)
}

fn rod(inputs: &Inputs<'_>) -> Found {
    let rho = inputs.number("rho_ohm_m")?;
    let one = match inputs.optional("one_ohm") {
        Some(one) => one,
        None => d::rod_ohm(rho, inputs.number("length_m")?, inputs.number("diameter_m")?),
    };
    let mut figures = of(&[("r_ohm", one)])?;
    if let Some(rods) = inputs.optional("rods") {
        let spacing = inputs.number("spacing_m")?;
        let whole = match inputs.optional("lambda") {
            Some(lambda) => d::with_lambda_ohm(one, rho, spacing, rods as u32, lambda),
            None => d::rods_in_line_ohm(one, rho, spacing, rods as u32).ok_or("more rods than the table has")?,
        };
        figures.extend(of(&[("coupling", d::rod_coupling(one, rho, spacing)), ("rn_ohm", whole)])?);
    }
    Ok(figures)
}

fn tt(inputs: &Inputs<'_>) -> Found {
    let mut figures = Figures::new();
    for milliamperes in inputs.list("residual_ma") {
        figures.insert(
            format!("electrode_limit_{milliamperes}_ma_ohm"),
            Figure::Number(d::tt_electrode_limit_ohm(milliamperes / 1000.0)),
        );
    }
    if let Some(ohm) = inputs.optional("electrode_ohm") {
        figures.extend(of(&[("residual_limit_a", d::tt_residual_limit_a(ohm))])?);
    }
    Ok(figures)
}

fn open_pen(inputs: &Inputs<'_>) -> Found {
    let mut figures = Figures::new();
    for demand_a in inputs.list("maximum_demand_a") {
        figures.insert(
            format!("electrode_limit_{demand_a}_a_ohm"),
            Figure::Number(d::open_pen_electrode_limit_ohm(demand_a)),
        );
    }
    let lines = inputs.list("lines_a");
    if let [one, two, three] = lines[..] {
        let lines = [one, two, three];
        let electrode = inputs.optional("electrode_ohm");
        figures.extend(of(&[
            ("neutral_current_a", d::neutral_current_a(lines)),
            ("earth_voltage_v", d::open_pen_voltage_v(lines, electrode)),
        ])?);
        figures.insert("holds".into(), yes_no(d::open_pen_holds(lines, electrode)));
    }
    Ok(figures)
}

fn household(inputs: &Inputs<'_>) -> Found {
    let home = d::Appliances {
        lighting_a: inputs.optional("lighting_a").unwrap_or_default(),
        cooker_kw: inputs.optional("cooker_kw").unwrap_or_default(),
        cooker_socket: inputs.flag("cooker_socket"),
        showers_kw: inputs.list("showers_kw"),
        water_heaters_kw: inputs.list("water_heaters_kw"),
        heat_pump_kw: inputs.optional("heat_pump_kw").unwrap_or_default(),
        circuits_a: inputs.list("circuits_a"),
    };
    let [lighting, cooker, showers, water, circuits, pump] = d::household_paper_terms_a(&home);
    let demand = d::household_paper_demand_a(&home);
    of(&[
        ("lighting_a", lighting),
        ("cooker_a", cooker),
        ("showers_a", showers),
        ("water_heating_a", water),
        ("circuits_a", circuits),
        ("heat_pump_a", pump),
        ("demand_a", demand),
        ("with_charging_a", demand + inputs.optional("charging_a").unwrap_or_default()),
    ])
}

/// Currents of each kind of load under the factors of small premises.
fn small_premises(inputs: &Inputs<'_>) -> Found {
    use r::HouseholdLoad::*;
    let part = |load, name| r::diversity_in(r::PremisesFactors::Small, load).demand_a(&inputs.list(name));
    let parts = [
        ("lighting_a", part(Lighting, "lighting_a")),
        ("cookers_a", part(Cooker, "cookers_a")),
        ("instantaneous_a", part(Shower, "instantaneous_a")),
        ("thermostatic_a", part(WaterHeater, "thermostatic_a")),
        ("circuits_a", part(StandardCircuit, "circuits_a")),
    ];
    let whole: f64 = parts.iter().map(|(_, amps)| amps).sum();
    let mut figures = of(&parts)?;
    figures.extend(of(&[("demand_a", whole), ("demand_a_phase_a", whole / 3.0)])?);
    Ok(figures)
}

/// Pieces and stock lengths in metres, to a tenth.
fn cutting(inputs: &Inputs<'_>) -> Found {
    let tenths =
        |name: &str| inputs.list(name).iter().map(|length_m| (length_m * 10.0).round() as u32).collect::<Vec<_>>();
    let plan = baywright::order::cut(&tenths("pieces_m"), &tenths("stock_m"));
    of(&[
        ("ordered_m", plan.ordered as f64 / 10.0),
        ("drums", plan.drums.len() as f64),
        ("left_over_m", (plan.ordered - plan.used) as f64 / 10.0),
        ("covering_m", plan.covering as f64 / 10.0),
        ("bound_m", plan.bound as f64 / 10.0),
    ])
}

/// Like vehicles on one supply with so much left a phase: what a limit of all of it brings them, and the least limit.
fn charging_group(inputs: &Inputs<'_>) -> Found {
    let supply = e::Supply {
        phases: inputs.number("supply_phases")? as u8,
        room_a: [inputs.number("spare_a")?; 48],
        floor_a: inputs.number("floor_a")?,
    };
    let vehicles = [e::Vehicles {
        count: inputs.number("vehicles")? as u32,
        need_kwh: inputs.number("need_kwh")?,
        arrive_h: inputs.number("arrive_h")?,
        depart_h: inputs.number("depart_h")?,
        max_a: inputs.number("max_a")?,
        phases: inputs.number("vehicle_phases")? as u8,
    }];
    let found = e::delivered(&vehicles, &supply, f64::INFINITY);
    let mut figures = of(&[("energy_kwh", found.energy_kwh), ("short_kwh", found.short_kwh())])?;
    match e::least_limit_a(&vehicles, &supply) {
        Some(least_a) => {
            let kw = baywright::quantity::charging_kw(least_a, supply.phases);
            figures.extend(of(&[("least_limit_a", least_a), ("least_limit_kw", kw)])?);
            figures.insert("all_charged".into(), yes_no(true));
        }
        None => {
            figures.insert("all_charged".into(), yes_no(false));
        }
    }
    Ok(figures)
}
