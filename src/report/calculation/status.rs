//! What the lines of a calculation rest on: each source once, with edition, status and the lines that use it; and the
//! count of figures by status. It judges no source: `statuses.csv` says what each word of the tables means.

use super::has_figure;
use crate::design::Run;
use crate::finding::Finding;
use crate::reference::cable_row;
use crate::table::Table;
use std::borrow::Cow;
use std::sync::OnceLock;

/// How well something is known; the order of the table is from best to least.
#[derive(Debug, PartialEq)]
pub(in crate::report) struct Status {
    written: &'static str,
    /// The word shown.
    pub(in crate::report) word: &'static str,
    /// As it stands after a number of figures: "from print".
    phrase: &'static str,
    /// Whether such a figure is to be confirmed against the edition in force.
    pub(in crate::report) confirm: bool,
}

/// A status that the table does not know: the safe side is to confirm it.
static NOT_KNOWN: Status = Status { written: "", word: "not known", phrase: "of status not known", confirm: true };

fn statuses() -> &'static [Status] {
    static STATUSES: OnceLock<Vec<Status>> = OnceLock::new();
    STATUSES.get_or_init(|| {
        Table::of(include_str!("statuses.csv"))
            .rows()
            .map(|row| Status {
                written: row.kept("written"),
                word: row.kept("status"),
                phrase: row.kept("phrase"),
                confirm: row.text("confirm") == "yes",
            })
            .collect()
    })
}

fn status(written: &str) -> Option<&'static Status> {
    statuses().iter().find(|status| status.written == written)
}

fn order(status: &Status) -> usize {
    statuses().iter().position(|each| each.word == status.word).unwrap_or(usize::MAX)
}

/// Statuses of the table rows that a finding's subject names: those of the cables that were chosen.
fn of_table_rows<'a>(subject: &'a str, runs: &'a [Run]) -> impl Iterator<Item = &'static str> + 'a {
    runs.iter()
        .filter_map(|run| cable_row(run.cable))
        .flat_map(|row| [(row.rating_source, row.rating_status), (row.drop_source, row.drop_status)])
        .filter(move |(table, _)| !subject.is_empty() && *table == subject)
        .map(|(_, status)| status)
}

/// The status of a finding's figures: the least of its check's and of the table rows that it was read from. A check whose
/// own status is none of the known words ("see table") has that of its rows alone; without any, it is not known.
fn status_of(finding: &Finding, runs: &[Run]) -> &'static Status {
    let own = status(finding.check.status);
    let rows = of_table_rows(finding.subject, runs).map(|written| status(written).unwrap_or(&NOT_KNOWN));
    rows.chain(own).max_by_key(|status| order(status)).unwrap_or(&NOT_KNOWN)
}

/// One source of a site's figures.
#[derive(Debug)]
pub(in crate::report) struct Source {
    /// What it is, with the table that a figure was read from.
    pub(in crate::report) source: Cow<'static, str>,
    /// Edition or document.
    pub(in crate::report) edition: &'static str,
    /// How well it is known.
    pub(in crate::report) status: &'static Status,
    /// Numbers of the lines that rest on it.
    pub(in crate::report) lines: Vec<u32>,
    /// How many of them show a figure.
    figures: u32,
}

/// Every source of a site.
#[derive(Debug, Default)]
pub(in crate::report) struct Basis {
    /// In the order in which they are first used; a line cites the position, from 1.
    pub(in crate::report) sources: Vec<Source>,
}

impl Basis {
    /// Notes that line `number` rests on the source of `finding`; returns the source's number.
    pub(super) fn cite(&mut self, number: u32, finding: &Finding, runs: &[Run]) -> u32 {
        let check = finding.check;
        let status = status_of(finding, runs);
        let source = if of_table_rows(finding.subject, runs).next().is_some() {
            Cow::Owned(format!("{}: {}", finding.subject, check.source))
        } else {
            Cow::Borrowed(check.source)
        };
        let figure = u32::from(has_figure(finding));
        let same = |each: &Source| each.source == source && each.edition == check.edition && each.status == status;
        let at = match self.sources.iter().position(same) {
            Some(at) => at,
            None => {
                self.sources.push(Source { source, edition: check.edition, status, lines: Vec::new(), figures: 0 });
                self.sources.len() - 1
            }
        };
        if let Some(cited) = self.sources.get_mut(at) {
            cited.lines.push(number);
            cited.figures += figure;
        }
        u32::try_from(at + 1).unwrap_or(u32::MAX)
    }

    /// The sources with their numbers, those of one status and edition together, best known first.
    pub(in crate::report) fn by_status(&self) -> Vec<Vec<(usize, &Source)>> {
        let mut groups: Vec<Vec<(usize, &Source)>> = Vec::new();
        for numbered in (1..).zip(&self.sources) {
            let same = |group: &&mut Vec<(usize, &Source)>| {
                let first = group.first().map(|(_, source)| (source.status.word, source.edition));
                first == Some((numbered.1.status.word, numbered.1.edition))
            };
            match groups.iter_mut().find(same) {
                Some(group) => group.push(numbered),
                None => groups.push(vec![numbered]),
            }
        }
        groups.sort_by_key(|group| group.first().map(|(_, source)| order(source.status)));
        groups
    }

    /// The count by status: "17 figures: 9 from print, 4 from memory."
    pub(in crate::report) fn count(&self) -> String {
        let all: u32 = self.sources.iter().map(|source| source.figures).sum();
        let mut parts = Vec::new();
        let mut told: Vec<&str> = Vec::new();
        for status in statuses().iter().chain([&NOT_KNOWN]) {
            let of = |source: &&Source| source.status.word == status.word;
            let figures: u32 = self.sources.iter().filter(of).map(|source| source.figures).sum();
            if figures > 0 && !told.contains(&status.word) {
                told.push(status.word);
                parts.push(format!("{figures} {}", status.phrase));
            }
        }
        match all {
            0 => "No figures.".to_owned(),
            1 => format!("1 figure: {}.", parts.join(", ")),
            _ => format!("{all} figures: {}.", parts.join(", ")),
        }
    }

    /// The lines whose figures are to be confirmed, in order.
    pub(in crate::report) fn to_confirm(&self) -> Vec<u32> {
        let open = self.sources.iter().filter(|source| source.status.confirm);
        let mut lines: Vec<u32> = open.flat_map(|source| source.lines.iter().copied()).collect();
        lines.sort_unstable();
        lines
    }

    /// What has to be confirmed against which edition, as a sentence; empty where nothing has.
    pub(in crate::report) fn confirm_words(&self, edition: &str) -> String {
        match self.to_confirm().as_slice() {
            [] => String::new(),
            [one] => format!("From memory or of status not known, to be confirmed against {edition}: line {one}."),
            lines => {
                format!("From memory or of status not known, to be confirmed against {edition}: lines {}.", list(lines))
            }
        }
    }
}

/// Numbers in a row: "3, 7, 9".
pub(in crate::report) fn list(numbers: &[u32]) -> String {
    numbers.iter().map(u32::to_string).collect::<Vec<_>>().join(", ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::RunRole;
    use crate::finding::checks;
    use crate::reference::{Cable, CableFamily, Method, armoured, singles, twin_and_earth};

    fn run(cable: Cable) -> Run {
        let role = RunRole::Final;
        Run { role, cable, method: Method::C, count: 1, indoor_m: 0.0, surface_m: 9.0, buried_m: 0.0, rises_m: 1.0 }
    }

    #[test]
    fn every_status_of_the_tables_is_known() {
        for check in checks() {
            // Only a check whose subject names a table may leave its status to the table.
            let by_table = check.formula.contains("{subject}");
            assert!(status(check.status).is_some() || by_table, "{}: {}", check.name, check.status);
        }
        let made = [CableFamily::ArmouredXlpe, CableFamily::ArmouredPvc];
        let armoured = made.into_iter().flat_map(|family| (2..=5).flat_map(move |cores| armoured(family, cores)));
        for row in armoured.chain(twin_and_earth()).chain(singles(2)).chain(singles(4)) {
            for written in [row.rating_status, row.drop_status] {
                assert!(status(written).is_some(), "{:?}: {written}", row.cable);
            }
        }
    }

    #[test]
    fn a_figure_read_from_a_table_has_the_status_of_its_row() {
        let cable = Cable { family: CableFamily::ArmouredXlpe, cores: 3, csa_mm2: 6.0 };
        let row = cable_row(cable).expect("a row");
        let runs = [run(cable)];
        let capacity = Finding::new("current-capacity").at_least(46.0, 40.0).subject(row.rating_source);
        assert_eq!(status_of(&capacity, &runs).word, status(row.rating_status).expect("known").word);
        let drop = Finding::new("voltage-drop").at_most(10.0, 11.5).subject(row.drop_source);
        assert_eq!(status_of(&drop, &runs).word, status(row.drop_status).expect("known").word);
        assert_ne!(status_of(&capacity, &runs), status_of(&drop, &runs), "the two tables are known differently well");
        // Without a cable nobody can say how well the figure is known.
        assert_eq!(status_of(&capacity, &[]), &NOT_KNOWN);
        // The least of check and row counts.
        let memory = Finding { check: crate::finding::check("device-rating"), ..drop };
        assert_eq!(status_of(&memory, &runs).word, "memory");
    }

    #[test]
    fn figures_are_counted_by_status_and_what_is_from_memory_is_to_be_confirmed() {
        let mut basis = Basis::default();
        let findings = [
            Finding::new("device-rating").at_most(32.0, 40.0),
            Finding::new("demand-limit").at_most(48.0, 80.0),
            Finding::new("disconnection").at_most(0.9, 1.09),
            Finding::new("signal"),
        ];
        for (number, finding) in (1..).zip(&findings) {
            basis.cite(number, finding, &[]);
        }
        assert_eq!(basis.count(), "3 figures: 2 from print, 1 from memory.");
        assert_eq!(basis.to_confirm(), [1, 4]);
        assert!(basis.confirm_words("the book").ends_with("against the book: lines 1, 4."));
        assert_eq!(Basis::default().count(), "No figures.");
        assert_eq!(Basis::default().confirm_words("the book"), "");
    }
}
