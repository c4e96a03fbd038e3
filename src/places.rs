//! Where the results of an assessment go: the workbook, and beside it what else is asked for.

use crate::operators::Operator;
use crate::settings::Settings;
use std::path::{Path, PathBuf};

/// Where the results go.
pub(crate) struct Places {
    pub(crate) workbook: PathBuf,
    pub(crate) json: PathBuf,
    pub(crate) csv: PathBuf,
    pub(crate) order_csv: PathBuf,
    pub(crate) cutting_csv: PathBuf,
    pub(crate) questions_csv: PathBuf,
    pub(crate) parquet: PathBuf,
    pub(crate) geojson: PathBuf,
}

impl Places {
    pub(crate) fn of(settings: &Settings) -> Self {
        let workbook = settings.output.clone().unwrap_or_else(|| {
            let stem = settings.portfolio.file_stem().unwrap_or_default().to_string_lossy();
            settings.portfolio.with_file_name(format!("{stem}-assessed.xlsx"))
        });
        let with = |ending: &str| workbook.with_extension(ending);
        let beside = |what: &str| beside(&workbook, what);
        Self {
            json: with("json"),
            csv: with("csv"),
            order_csv: beside("order"),
            cutting_csv: beside("cutting"),
            questions_csv: beside("questions"),
            parquet: with("parquet"),
            geojson: with("geojson"),
            workbook,
        }
    }

    /// The schedule for one operator.
    pub(crate) fn operator_csv(&self, operator: Operator) -> PathBuf {
        let called = match operator {
            Operator::Distributor(number) => number.to_string(),
            Operator::NorthernIreland => "ni".to_owned(),
            Operator::NotKnown => "unknown".to_owned(),
        };
        beside(&self.workbook, &format!("operator-{called}"))
    }

    /// The schedules that a run may write: which operators there are is known only when it has read.
    pub(crate) fn operator_csvs(&self, settings: &Settings) -> Vec<PathBuf> {
        let numbered = (0..=u8::MAX).map(Operator::Distributor);
        let every = numbered.chain([Operator::NorthernIreland, Operator::NotKnown]).filter(|_| settings.csv);
        every.map(|operator| self.operator_csv(operator)).collect()
    }

    /// Files that a run with these settings might have written and did not, and that are there: nobody may take them for
    /// its results.
    pub(crate) fn of_an_earlier_run(&self, settings: &Settings, written: &[PathBuf]) -> Vec<PathBuf> {
        let mut places: Vec<PathBuf> = self.all(settings).into_iter().map(Path::to_owned).collect();
        places.extend(self.operator_csvs(settings));
        places.retain(|place| !written.contains(place) && place.exists());
        places
    }

    /// The files written, for the terminal: the schedules for the operators as one.
    pub(crate) fn shown(&self, written: &[PathBuf]) -> Vec<String> {
        let start = beside(&self.workbook, "operator-").with_extension("");
        let start = start.as_os_str().to_string_lossy();
        let is_schedule = |path: &Path| {
            path.extension() == Some("csv".as_ref()) && path.as_os_str().to_string_lossy().starts_with(&*start)
        };
        let schedules = written.iter().filter(|path| is_schedule(path)).count();
        let mut shown = Vec::new();
        for path in written {
            match (is_schedule(path), shown.last()) {
                (false, _) => shown.push(path.display().to_string()),
                (true, Some(last)) if last.starts_with(&*start) => {}
                (true, _) if schedules == 1 => shown.push(path.display().to_string()),
                (true, _) => shown.push(format!("{start}….csv ({schedules} operators)")),
            }
        }
        shown
    }

    pub(crate) fn all<'a>(&'a self, settings: &Settings) -> Vec<&'a Path> {
        let mut places: Vec<&Path> = vec![&self.workbook];
        let wished = [
            (settings.json, &self.json),
            (settings.csv, &self.csv),
            (settings.csv, &self.order_csv),
            (settings.csv, &self.cutting_csv),
            (settings.csv && !settings.no_odds, &self.questions_csv),
            (settings.parquet, &self.parquet),
            (settings.geojson, &self.geojson),
        ];
        places.extend(wished.iter().filter(|(wanted, _)| *wanted).map(|(_, path)| path.as_path()));
        places
    }
}

/// A table beside the workbook.
fn beside(workbook: &Path, what: &str) -> PathBuf {
    let stem = workbook.file_stem().unwrap_or_default().to_string_lossy();
    workbook.with_file_name(format!("{stem}-{what}.csv"))
}
