//! What the lines of a calculation rest on: each source once, with edition, status and the lines that use it; and the
//! count of figures by status. It judges no source: `statuses.csv` says what each word of the tables means.

use super::has_figure;
use crate::design::Run;
use crate::finding::Finding;
use crate::reference::{ProtectiveKind, cable_row};
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

/// Whether a subject names a table: "Table 4D4A" or "Table 4D4A, method D", never "Table 4D4AB".
fn names(subject: &str, table: &str) -> bool {
    let rest = subject.strip_prefix(table).filter(|_| !table.is_empty());
    rest.is_some_and(|rest| !rest.starts_with(char::is_alphanumeric))
}

/// Tables and statuses of the rows that a finding's subject names: those of the cables that were chosen.
fn of_table_rows<'a>(subject: &'a str, runs: &'a [Run]) -> impl Iterator<Item = (&'static str, &'static str)> + 'a {
    runs.iter()
        .filter_map(|run| cable_row(run.cable))
        .flat_map(|row| {
            let armour = if row.protective.kind == ProtectiveKind::Armour { "steel armour" } else { "" };
            [
                (row.rating_source, row.rating_status),
                (row.drop_source, row.drop_status),
                (armour, row.protective.status),
            ]
        })
        .filter(move |(table, _)| names(subject, table))
}

/// The status of a finding's figures: the least of its check's and of the table rows that it was read from. A check whose
/// own status is none of the known words ("see table") has that of its rows alone; without any, it is not known.
fn status_of(finding: &Finding, runs: &[Run]) -> &'static Status {
    let own = status(finding.check.status);
    let rows = of_table_rows(finding.subject, runs).map(|(_, written)| status(written).unwrap_or(&NOT_KNOWN));
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
    /// Titles of the checks that rest on it, each once.
    pub(in crate::report) checks: Vec<&'static str>,
    /// How many of its lines show a figure.
    figures: u32,
}

impl Source {
    fn is(&self, other: &Source) -> bool {
        (&self.source, self.edition, self.status) == (&other.source, other.edition, other.status)
    }

    fn note_checks(&mut self, titles: &[&'static str]) {
        for title in titles {
            if !self.checks.contains(title) {
                self.checks.push(title);
            }
        }
    }
}

/// The sources of several sites, each once.
#[derive(Debug, Default)]
pub(in crate::report) struct Register {
    /// In the order in which they are first used.
    pub(in crate::report) sources: Vec<Source>,
}

impl Register {
    /// Takes up the sources of a site; returns the number here, from 1, of each of them.
    pub(in crate::report) fn take(&mut self, basis: &Basis) -> Vec<u32> {
        let mut numbers = Vec::with_capacity(basis.sources.len());
        for source in &basis.sources {
            let at = match self.sources.iter().position(|each| each.is(source)) {
                Some(at) => at,
                None => {
                    let (lines, checks) = (Vec::new(), Vec::new());
                    let words = source.source.clone();
                    self.sources.push(Source { source: words, lines, checks, figures: 0, ..*source });
                    self.sources.len() - 1
                }
            };
            if let Some(noted) = self.sources.get_mut(at) {
                noted.note_checks(&source.checks);
                noted.figures += source.figures;
            }
            numbers.push(u32::try_from(at + 1).unwrap_or(u32::MAX));
        }
        numbers
    }
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
        let source = match of_table_rows(finding.subject, runs).next() {
            Some((table, _)) => Cow::Owned(format!("{table}: {}", check.source)),
            None => Cow::Borrowed(check.source),
        };
        let (lines, checks) = (Vec::new(), Vec::new());
        let cited = Source { source, edition: check.edition, status, lines, checks, figures: 0 };
        let at = match self.sources.iter().position(|each| each.is(&cited)) {
            Some(at) => at,
            None => {
                self.sources.push(cited);
                self.sources.len() - 1
            }
        };
        if let Some(cited) = self.sources.get_mut(at) {
            cited.lines.push(number);
            cited.note_checks(&[check.title]);
            cited.figures += u32::from(has_figure(finding));
        }
        u32::try_from(at + 1).unwrap_or(u32::MAX)
    }

    /// The lines by status, best known first: "print (3, 4, 7); memory (5)".
    pub(in crate::report) fn lines_by_status(&self) -> String {
        let mut sources: Vec<&Source> = self.sources.iter().collect();
        sources.sort_by_key(|source| order(source.status));
        lines_by(&sources, |source| source.status.word)
    }

    /// The lines by edition or document, in the order in which they are first used; those of none are left out.
    pub(in crate::report) fn lines_by_edition(&self) -> String {
        let sources: Vec<&Source> = self.sources.iter().filter(|source| !source.edition.is_empty()).collect();
        lines_by(&sources, |source| source.edition)
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

fn lines_by(sources: &[&Source], key: impl Fn(&Source) -> &'static str) -> String {
    let mut groups: Vec<(&str, Vec<u32>)> = Vec::new();
    for source in sources {
        match groups.iter_mut().find(|(word, _)| *word == key(source)) {
            Some((_, lines)) => lines.extend(&source.lines),
            None => groups.push((key(source), source.lines.clone())),
        }
    }
    let told = groups.iter_mut().map(|(word, lines)| {
        lines.sort_unstable();
        format!("{word} ({})", list(lines))
    });
    told.collect::<Vec<_>>().join("; ")
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
        let by_method = capacity.clone().subject("Table 4D4A, method D in a duct");
        assert_eq!(status_of(&by_method, &runs), status_of(&capacity, &runs));
        assert!(!names("Table 4D4AB", "Table 4D4A") && !names("Table 4D4A", ""));
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
        assert_eq!(basis.lines_by_status(), "print (2, 3); memory (1, 4)");
        let mut register = Register::default();
        assert_eq!(register.take(&basis), [1, 2, 3, 4]);
        let mut second = Basis::default();
        second.cite(1, &findings[2], &[]);
        assert_eq!(register.take(&second), [3], "a source of a second site is the same source");
        assert_eq!(register.sources[2].checks, ["Earth-fault loop impedance"]);
        assert_eq!(Basis::default().count(), "No figures.");
        assert_eq!(Basis::default().confirm_words("the book"), "");
    }
}
