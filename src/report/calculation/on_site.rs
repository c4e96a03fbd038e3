//! What has to be measured before energising: what the findings at hand ask for, and the tests that an arrangement calls
//! for (`site-tests.csv`).

use crate::design::{Arrangement, Control, EarthingPath};
use crate::table::Table;
use std::sync::OnceLock;

/// Something that findings want measured.
#[derive(Debug, PartialEq)]
pub(in crate::report) struct Measure {
    /// What.
    pub(in crate::report) words: &'static str,
    /// Numbers of the lines that want it.
    pub(in crate::report) lines: Vec<u32>,
}

/// What the lines want measured, each once, in the order of the lines.
pub(super) fn measures(lines: impl Iterator<Item = (u32, &'static str)>) -> Vec<Measure> {
    let mut measures: Vec<Measure> = Vec::new();
    for (number, words) in lines.filter(|(_, words)| !words.is_empty()) {
        match measures.iter_mut().find(|measure| measure.words == words) {
            Some(measure) => measure.lines.push(number),
            None => measures.push(Measure { words, lines: vec![number] }),
        }
    }
    measures
}

/// One test.
#[derive(Debug)]
pub(in crate::report) struct SiteTest {
    /// What is tested.
    pub(in crate::report) test: &'static str,
    when: &'static str,
    /// By which clause.
    pub(in crate::report) clause: &'static str,
    /// How well the clause is known.
    pub(super) status: &'static str,
}

fn all() -> &'static [SiteTest] {
    static TESTS: OnceLock<Vec<SiteTest>> = OnceLock::new();
    TESTS.get_or_init(|| {
        Table::of(include_str!("site-tests.csv"))
            .rows()
            .map(|row| SiteTest {
                test: row.kept("test"),
                when: row.kept("when"),
                clause: row.kept("clause"),
                status: row.kept("status"),
            })
            .collect()
    })
}

/// The tests that `chosen` calls for.
pub(super) fn tests(chosen: &Arrangement) -> Vec<&'static SiteTest> {
    all().iter().filter(|test| is_needed(test.when, chosen)).collect()
}

fn is_needed(when: &str, chosen: &Arrangement) -> bool {
    match when {
        "supply-earth" => chosen.earthing != EarthingPath::Electrode,
        "electrode" => chosen.earthing == EarthingPath::Electrode,
        "open-pen" => {
            matches!(chosen.earthing, EarthingPath::SupplyEarthOpenPen | EarthingPath::SupplyEarthOpenPenDevice)
        }
        "three-phase" => chosen.phases == 3,
        "limiter" => matches!(chosen.control, Control::Local { .. }),
        "group" => matches!(chosen.control, Control::Group { .. }),
        _ => true,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::fixture::Fixture;

    #[test]
    fn the_same_measure_is_told_once_with_every_line_that_wants_it() {
        let wanted = measures([(1, "Ze"), (2, ""), (3, "Zs"), (4, "Ze")].into_iter());
        assert_eq!(wanted, [Measure { words: "Ze", lines: vec![1, 4] }, Measure { words: "Zs", lines: vec![3] }]);
    }

    #[test]
    fn an_electrode_is_measured_where_there_is_one_and_ze_where_there_is_none() {
        let fixture = Fixture::new(24);
        let chosen = |path| {
            let mut sites = fixture.portfolio.sites.iter().filter_map(|site| site.judgement.chosen.as_ref());
            sites.find(|chosen| chosen.earthing == path).expect("the fixture has one")
        };
        let names = |path| tests(chosen(path)).iter().map(|test| test.test).collect::<Vec<_>>().join("; ");
        let electrode = names(EarthingPath::Electrode);
        assert!(electrode.contains("electrode resistance") && !electrode.contains("External impedance"), "{electrode}");
        let supply = names(EarthingPath::SupplyEarthOpenPen);
        assert!(supply.contains("External impedance") && supply.contains("Open-PEN"), "{supply}");
    }
}
