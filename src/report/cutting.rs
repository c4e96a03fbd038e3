//! Sheet Cutting list: one row a piece, drum by drum in the order of cutting. How pieces came to their drums it does
//! not know.

use super::Run;
use super::grid::{Cell, Form, Heading, Paper, Row, Rows, Sheet, heading, names};
use super::stands;
use crate::design::RunRole;
use crate::order::{CableOrder, Cut, Drum};

/// The sheet.
pub(super) fn sheet<'a>(run: &'a Run<'a>) -> Sheet<'a> {
    let pieces = run.order.cables.iter().flat_map(|cable| {
        let drums = cable.drums.iter();
        drums.flat_map(move |drum| (1..).zip(&drum.cuts).map(move |(place, cut)| (cable, drum, place, cut)))
    });
    Sheet {
        name: names::CUTTING,
        subject: "Cutting list: every piece of cable and the drum that it is cut from",
        headings: headings(),
        frozen: 2,
        printed: None,
        paper: Paper::A4,
        rows: Rows::of(pieces, move |(cable, drum, place, cut)| row(run, cable, drum, place, cut)),
    }
}

fn headings() -> Vec<Heading<'static>> {
    use Form::{Ordinal, Tenths, Text, Wrapped};
    vec![
        heading("Cable", 30.0, Text),
        heading("Drum", 6.5, Ordinal),
        heading("Bought as", 13.0, Text),
        heading("Length bought m", 8.5, Tenths),
        heading("Cut", 5.0, Ordinal),
        heading("Site", 11.0, Text),
        heading("Address", 40.0, Wrapped),
        heading("Lot", 15.0, Text),
        heading("Row", 7.0, Ordinal),
        heading("Run", 24.0, Text),
        heading("Laid, likely m", 10.5, Tenths),
        heading("Cut at m", 8.5, Tenths),
        heading("Left on the drum m", 10.0, Tenths),
    ]
}

fn row<'a>(run: &'a Run<'a>, cable: &'a CableOrder, drum: &'a Drum, place: u32, cut: &'a Cut) -> Row<'a> {
    let ranked = run.portfolio.sites.get(cut.site);
    let site = ranked.map(|ranked| &ranked.judgement.brief);
    let text = |value: Option<&'a str>| value.map_or(Cell::Blank, Cell::from);
    vec![
        cable_in_words(cable).into(),
        drum.number.into(),
        bought_as(drum).into(),
        drum.stock_m.into(),
        place.into(),
        ranked.map_or(Cell::Blank, stands::on_ranking),
        text(site.map(|site| site.address.as_str())),
        text(site.map(|site| site.lot.as_str())),
        site.map_or(Cell::Blank, |site| site.row.into()),
        run_in_words(cut).into(),
        crate::quantity::round_to(cut.likely_m, 1).into(),
        cut.length_m.into(),
        cut.left_m.into(),
    ]
}

fn bought_as(drum: &Drum) -> &'static str {
    match (drum.cut_to_length, drum.made_to_length) {
        (true, _) => "cut to length",
        (_, true) => "made to length",
        _ => "drum or coil",
    }
}

/// "6 mm² 3-core armoured", "6 mm² single, brown", "data cable".
pub(super) fn cable_in_words(cable: &CableOrder) -> String {
    match (cable.cable, cable.core) {
        (None, _) => "data cable".to_owned(),
        (Some(make), "") => make.words(),
        (Some(make), core) => format!("{} mm² single, {core}", make.csa_mm2),
    }
}

/// "sub-main", "final circuit 3 of 10".
pub(super) fn run_in_words(cut: &Cut) -> String {
    let role = match cut.role {
        RunRole::SubMain => "sub-main",
        RunRole::Final => "final circuit",
    };
    if cut.of > 1 { format!("{role} {} of {}", cut.number, cut.of) } else { role.to_owned() }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::fixture::Fixture;

    #[test]
    fn a_row_a_piece_and_what_is_left_falls_with_each_cut() {
        let fixture = Fixture::new(40);
        let run = fixture.run();
        let sheet = sheet(&run);
        let columns = sheet.headings.len();
        let rows: Vec<_> = sheet.rows.collect();
        let pieces: u32 = run.order.cables.iter().map(|cable| cable.pieces).sum();
        assert!(pieces > 0 && rows.len() == pieces as usize);
        assert!(rows.iter().all(|row| row.len() == columns));
        let number = |cell: &Cell<'_>| cell.shown().parse::<f64>().expect("a number");
        let mut left = 0.0;
        for row in &rows {
            if row[4].shown() == "1" {
                left = number(&row[3]);
            }
            left -= number(&row[11]);
            assert!(left >= 0.0 && (left - number(&row[12])).abs() < 1e-9);
            assert!(number(&row[11]) + 1e-9 >= number(&row[10]), "cut shorter than laid");
            assert!(!row[5].shown().is_empty() && !row[2].shown().is_empty());
        }
    }
}
