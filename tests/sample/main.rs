//! Writes the sample portfolio (an invented housing organisation) and the small awkward files that the tests read, the
//! same bytes on every run.
//!
//! `cargo run --release --example make-sample` writes the files; with `--check` it only says whether the files that are
//! checked in are what it would write.

mod corpus;
mod corpus_parts;
mod draws;
mod four;
mod ground;
mod homes;
mod layout;
mod mess;
mod meter_point;
mod organisation;
mod planted;
mod row;
mod shared;
mod side;
#[path = "../splitmix.rs"]
mod splitmix;
mod workbook;

use std::error::Error;
use std::path::Path;
use std::process::ExitCode;

/// Every file of the sample with its bytes, by path from the top of the repository.
fn files() -> Result<corpus::Files, Box<dyn Error>> {
    let mut files = vec![
        ("sample-portfolio/portfolio.xlsx".to_owned(), layout::portfolio()?),
        ("sample-portfolio/four-columns.xlsx".to_owned(), four::four_columns()?),
    ];
    files.extend(corpus::files()?);
    Ok(files)
}

fn run() -> Result<bool, Box<dyn Error>> {
    let check = std::env::args().any(|argument| argument == "--check");
    let top = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut same = true;
    for (name, bytes) in files()? {
        let path = top.join(&name);
        if !check {
            std::fs::create_dir_all(path.parent().unwrap_or(top))?;
            std::fs::write(&path, &bytes)?;
            println!("{name}: {} bytes", bytes.len());
        } else if std::fs::read(&path).ok().as_deref() != Some(bytes.as_slice()) {
            eprintln!("{name} is not what this program writes: run `cargo run --release --example make-sample`");
            same = false;
        }
    }
    Ok(same)
}

fn main() -> ExitCode {
    match run() {
        Ok(true) => ExitCode::SUCCESS,
        Ok(false) => ExitCode::FAILURE,
        Err(fault) => {
            eprintln!("the sample could not be written: {fault}");
            ExitCode::FAILURE
        }
    }
}
