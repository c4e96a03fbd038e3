//! Parse, run, turn the outcome into an exit code: 0 done, 1 could not be done, 2 wrong usage.

mod cli;

use baywright::cards;
use baywright::comparing;
use baywright::learning;
use baywright::progress::Progress;
use baywright::report::schemas;
use baywright::run::{self, RunError};
use cli::Asked;
use std::io::Write;
use std::process::ExitCode;
use std::sync::atomic::{AtomicBool, Ordering};

static STOP: AtomicBool = AtomicBool::new(false);

fn main() -> ExitCode {
    // A first interrupt ends the run in order; a second one at once. Passing files go with their handles in the first
    // case; in the second they are named so that they can be told apart from results.
    let handler = ctrlc::set_handler(|| {
        if STOP.swap(true, Ordering::Relaxed) {
            std::process::exit(1);
        }
    });
    if handler.is_err() {
        eprintln!("baywright: interrupts cannot be caught here; a result that is interrupted may leave a .part file.");
    }
    let outcome = match cli::read() {
        Asked::Assess(settings) => run::assess(&settings, &Progress::shown(), &STOP).map(|done| done.lines),
        Asked::Inspect(settings) => run::inspect(&settings),
        Asked::Template { output, force } => run::template(&output, force).map(|()| {
            format!(
                "{} written: an empty survey, a sheet of homes and one of shared car parks, with drop-down lists, a worked \
                 example and help.\n",
                output.display()
            )
        }),
        Asked::Explain { settings, sites } => run::explain(&settings, &sites),
        Asked::Card { settings, sites } => cards::cards(&settings, &sites),
        Asked::Compare(asked) => comparing::compare(&asked),
        Asked::Learn(asked) => learning::learn(&asked, &Progress::shown(), &STOP),
        Asked::Schema { name } => return schema(name.as_deref()),
    };
    finish(outcome)
}

fn finish(outcome: Result<String, RunError>) -> ExitCode {
    match outcome {
        Ok(text) => say(&text),
        Err(fault) => {
            eprintln!("baywright: {fault}");
            ExitCode::FAILURE
        }
    }
}

/// Prints to standard output; a reader that has gone away (`| head`) is no fault.
fn say(text: &str) -> ExitCode {
    let mut out = std::io::stdout().lock();
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Err(fault) if fault.kind() != std::io::ErrorKind::BrokenPipe => {
            eprintln!("baywright: cannot write to standard output: {fault}.");
            ExitCode::FAILURE
        }
        _ => ExitCode::SUCCESS,
    }
}

fn schema(name: Option<&str>) -> ExitCode {
    /// The name of a schema without the endings of its file.
    fn short(file: &str) -> &str {
        file.trim_end_matches(".json").trim_end_matches(".schema")
    }
    let all = schemas();
    let known = || all.iter().map(|(file, _)| short(file)).collect::<Vec<_>>().join(", ");
    let Some(name) = name else {
        let text: String = all.iter().map(|(_, text)| format!("{}\n", text.trim_end())).collect();
        return say(&text);
    };
    match all.iter().find(|(file, _)| short(file) == name || *file == name) {
        Some((_, text)) => say(&format!("{}\n", text.trim_end())),
        None => {
            eprintln!("baywright: there is no schema {name:?}. There are: {}.", known());
            ExitCode::FAILURE
        }
    }
}
