//! The command line, turned into settings; the only file that names clap.

use baywright::comparing::Compared;
use baywright::learning::Learning;
use baywright::rules::Stance;
use baywright::run::Settings;
use clap::error::ErrorKind;
use clap::{Args, CommandFactory, Parser, Subcommand, ValueEnum};
use jiff::civil::Date;
use std::path::PathBuf;

/// Which of many sites can have electric-vehicle charging, at what cost, and what would unblock the rest.
///
/// A desk-top screen: a licensed designer and installer verify each site; local rules and the network operator decide.
#[derive(Parser)]
#[command(name = "baywright", version, max_term_width = 100)]
struct CommandLine {
    #[command(subcommand)]
    command: Command,
}

/// What the user asks for.
pub enum Asked {
    /// Read, judge, estimate, rank, write.
    Assess(Box<Settings>),
    /// Say how the sheet is understood.
    Inspect(Box<Settings>),
    /// Write an empty survey workbook.
    Template {
        /// Where to.
        output: PathBuf,
        /// Overwrite an existing file.
        force: bool,
    },
    /// The whole calculation of some sites.
    Explain {
        /// As for an assessment.
        settings: Box<Settings>,
        /// Each by its site_id, UPRN or row.
        sites: Vec<String>,
    },
    /// Job cards of some sites.
    Card {
        /// As for an assessment; `chosen` names sites by a word, a lot or a list.
        settings: Box<Settings>,
        /// Each by its site_id, UPRN or row.
        sites: Vec<String>,
    },
    /// What changed between two results.
    Compare(Compared),
    /// What outcomes tell.
    Learn(Box<Learning>),
    /// The JSON Schemas.
    Schema {
        /// One by name; all when not given.
        name: Option<String>,
    },
}

#[derive(Subcommand)]
enum Command {
    /// Read a portfolio, judge and price every site, rank them and write the workbook: the main job
    Assess {
        #[command(flatten)]
        judging: Judging,
        /// Result workbook [default: the input's name with -assessed, beside it]
        #[arg(short, long, value_name = "RESULT.xlsx")]
        output: Option<PathBuf>,
        /// Also write the results as JSON beside the workbook
        #[arg(long)]
        json: bool,
        /// Also write one row a site as CSV beside the workbook, and the order schedule and the cutting list
        #[arg(long)]
        csv: bool,
        /// Also write one row a site as Parquet beside the workbook
        #[arg(long)]
        parquet: bool,
        /// Also write sites and clusters with coordinates as GeoJSON beside the workbook, for a map; where nothing has
        /// any, none is written
        #[arg(long)]
        geojson: bool,
        /// Sites that the bid, the order schedule and the cutting list are for: ready, marginal, all, lot=NAME (its ready sites),
        /// or a text file with one site_id a line [default: ready]
        #[arg(long = "for", value_name = "SITES")]
        chosen: Option<String>,
        /// Name this many sites to visit: those whose inspection narrows the count of ready sites and their price most
        #[arg(long, value_name = "N", default_value_t = 0, hide_default_value = true, conflicts_with = "no_odds")]
        visits: usize,
        /// Programme file: budgets by period, crews, calendar. Says which sites to do when and by whom, and what more
        /// money or another crew would add
        #[arg(long, value_name = "PROGRAMME.toml", conflicts_with = "no_odds")]
        programme: Option<PathBuf>,
        /// Overwrite existing results
        #[arg(long)]
        force: bool,
    },
    /// Say how a spreadsheet is understood and what is wrong with it, without judging
    Inspect {
        /// Spreadsheet (.xlsx or .csv)
        portfolio: PathBuf,
        /// Sheet to read, by name or number; may be repeated [default: the one that looks most like a survey]
        #[arg(long = "sheet", value_name = "NAME")]
        sheets: Vec<String>,
        /// Also write your sheet again with the cells marked that need a word [default: print the page alone]
        #[arg(short, long, value_name = "MARKED.xlsx")]
        output: Option<PathBuf>,
        /// Overwrite an existing workbook
        #[arg(long)]
        force: bool,
        /// Further files laid over the spreadsheet: surveys that fill its blanks, half-hourly data by meter; may be repeated
        #[arg(long, value_name = "FILE", num_args = 1..)]
        with: Vec<PathBuf>,
        /// Which heading is which survey column, where you know better
        #[arg(long, value_name = "MAP.toml")]
        mapping: Option<PathBuf>,
        /// Write which heading is read as which survey column, to be changed and given with --mapping
        #[arg(long, value_name = "MAP.toml")]
        save_mapping: Option<PathBuf>,
    },
    /// Write an empty survey workbook with drop-down lists and help
    Template {
        /// Where to write it
        #[arg(short, long, default_value = "survey-template.xlsx")]
        output: PathBuf,
        /// Overwrite an existing file
        #[arg(long)]
        force: bool,
    },
    /// Show the whole calculation of some sites, or write it as a workbook to be checked by hand and signed
    Explain {
        #[command(flatten)]
        judging: Judging,
        /// The sites, each by its site_id, UPRN or row in the sheet (Homes!7 where several are read); several may be named
        #[arg(long = "site", value_name = "ID", required = true, num_args = 1..)]
        sites: Vec<String>,
        /// Write a workbook with a sheet a site, at most two pages of A4 each [default: print to the terminal]
        #[arg(short, long, value_name = "FILE.xlsx")]
        output: Option<PathBuf>,
        /// Overwrite an existing workbook
        #[arg(long)]
        force: bool,
    },
    /// Show the job card of some sites, or write a workbook with a page a site for a crew or a site manager
    Card {
        #[command(flatten)]
        judging: Judging,
        /// The sites, each by its site_id, UPRN or row in the sheet (Homes!7 where several are read); several may be named
        #[arg(long = "site", value_name = "ID", required_unless_present = "chosen", num_args = 1..)]
        sites: Vec<String>,
        /// Sites by a word: ready, marginal, all, lot=NAME (its ready sites), or a text file with one site_id a line
        #[arg(long = "for", value_name = "SITES")]
        chosen: Option<String>,
        /// Write a workbook with a sheet a site, one page of A4 each [default: print to the terminal]
        #[arg(short, long, value_name = "CARDS.xlsx")]
        output: Option<PathBuf>,
        /// Overwrite an existing workbook
        #[arg(long)]
        force: bool,
    },
    /// Say what changed between two results of assess --json: which sites, and because of which answer, rule or price
    Compare {
        /// The earlier result: its JSON document, or the workbook or table beside it
        before: PathBuf,
        /// The later result, likewise
        after: PathBuf,
        /// Write a workbook of every site that changed, came or went [default: print the page alone]
        #[arg(short, long, value_name = "CHANGES.xlsx")]
        output: Option<PathBuf>,
        /// Also write the changes as JSON beside the workbook
        #[arg(long, requires = "output")]
        json: bool,
        /// Overwrite existing files
        #[arg(long)]
        force: bool,
    },
    /// Hold a portfolio, as it stood before the work, against what really happened, and say what its verdicts, costs and
    /// hours were worth; propose weights and task hours that fit what was found, which you may use or not
    Learn {
        #[command(flatten)]
        judging: Judging,
        /// Outcomes: a sheet with site_id (or uprn), and verdict_on_site, installed_cost_gbp before VAT, hours (person-hours
        /// of the crews with travel), date, or survey columns as they were found on site; may be repeated
        #[arg(long, value_name = "OUTCOMES", required = true, num_args = 1..)]
        from: Vec<PathBuf>,
        /// Write the weights that are proposed, to be given with --rules
        #[arg(long, value_name = "LEARNED.toml")]
        save_rules: Option<PathBuf>,
        /// Write the task hours that are proposed, to be given with --prices
        #[arg(long, value_name = "LEARNED.csv")]
        save_prices: Option<PathBuf>,
        /// Write a workbook of every site, weight and task [default: print the page alone]
        #[arg(short, long, value_name = "OUTCOMES.xlsx")]
        output: Option<PathBuf>,
        /// Also write it as JSON beside the workbook
        #[arg(long, requires = "output")]
        json: bool,
        /// Overwrite existing files
        #[arg(long)]
        force: bool,
    },
    /// Print the schemas of what goes in and comes out
    Schema {
        /// One by name [default: list them and print all]
        name: Option<String>,
    },
}

/// What every judgement needs.
#[derive(Args)]
struct Judging {
    /// Spreadsheet (.xlsx or .csv) with at least an address, a supply rating, an estimated load and a distance
    portfolio: PathBuf,
    /// Sheet to read, by name or number; may be repeated [default: the one that looks most like a survey]
    #[arg(long = "sheet", value_name = "NAME")]
    sheets: Vec<String>,
    /// Further files laid over the spreadsheet: surveys that fill its blanks, half-hourly data by meter; may be repeated
    #[arg(long, value_name = "FILE", num_args = 1..)]
    with: Vec<PathBuf>,
    /// Which heading is which survey column, as `inspect --save-mapping` writes it
    #[arg(long, value_name = "MAP.toml")]
    mapping: Option<PathBuf>,
    /// Rules file laid over the defaults, or the word defaults; repeated (for assess), the first is the run's and each
    /// further one is a scenario beside it: the same sites judged with those rules instead
    #[arg(long, value_name = "RULES.toml")]
    rules: Vec<PathBuf>,
    /// Price book laid over the default by item, or the word defaults; repeated, a scenario each likewise, with the
    /// run's rules
    #[arg(long, value_name = "PRICES.csv")]
    prices: Vec<PathBuf>,
    /// How facts that nobody was asked are taken
    #[arg(long, value_enum, default_value_t = StanceWord::Screen)]
    stance: StanceWord,
    /// Date of the run, YYYY-MM-DD [default: the rules', else the newest date in the sheet]
    #[arg(long, value_name = "DATE")]
    as_of: Option<Date>,
    /// Threads to work with [default: all cores]; the result does not depend on it
    #[arg(long, value_name = "N")]
    threads: Option<usize>,
    /// Leave out the chance of each verdict, and the questions and visits that are read off it
    #[arg(long)]
    no_odds: bool,
    /// For a result that leaves the house: leave out names, telephones, mail addresses, access notes and whatever else of
    /// your sheet may be of a person, and say which; addresses and coordinates of the sites stay
    #[arg(long)]
    share: bool,
}

#[derive(Clone, Copy, ValueEnum)]
enum StanceWord {
    /// They take their most likely value; the odds carry the doubt
    Screen,
    /// Each that could hold the site holds it
    Commit,
}

/// The first file given, and those given after it; the word `defaults` stands for no file.
fn first_and_further(files: Vec<PathBuf>) -> (Option<PathBuf>, Vec<Option<PathBuf>>) {
    let mut files = files.into_iter().map(|file| Some(file).filter(|file| file.as_os_str() != "defaults"));
    (files.next().flatten(), files.collect())
}

impl Judging {
    fn settings(self) -> Settings {
        let (rules, more_rules) = first_and_further(self.rules);
        let (prices, more_prices) = first_and_further(self.prices);
        Settings {
            portfolio: self.portfolio,
            sheets: self.sheets,
            with: self.with,
            mapping: self.mapping,
            rules,
            prices,
            more_rules,
            more_prices,
            stance: match self.stance {
                StanceWord::Screen => Stance::Screen,
                StanceWord::Commit => Stance::Commit,
            },
            as_of: self.as_of,
            no_odds: self.no_odds,
            share: self.share,
            threads: self.threads,
            ..Settings::default()
        }
    }
}

/// Reads the command line; wrong usage is answered by clap with exit code 2.
pub fn read() -> Asked {
    match CommandLine::parse().command {
        Command::Assess { judging, output, json, csv, parquet, geojson, chosen, visits, programme, force } => {
            Asked::Assess(Box::new(Settings {
                output,
                json,
                csv,
                parquet,
                geojson,
                chosen,
                visits,
                programme,
                force,
                ..judging.settings()
            }))
        }
        Command::Inspect { portfolio, sheets, output, force, with, mapping, save_mapping } => {
            let asked =
                Settings { portfolio, sheets, output, force, with, mapping, save_mapping, ..Settings::default() };
            Asked::Inspect(Box::new(asked))
        }
        Command::Template { output, force } => Asked::Template { output, force },
        Command::Explain { judging, .. } | Command::Card { judging, .. } | Command::Learn { judging, .. }
            if judging.rules.len() > 1 || judging.prices.len() > 1 =>
        {
            let words = "this rests on one set of rules and one price book: give --rules and --prices once";
            CommandLine::command().error(ErrorKind::TooManyValues, words).exit()
        }
        Command::Explain { judging, sites, output, force } => {
            Asked::Explain { settings: Box::new(Settings { output, force, ..judging.settings() }), sites }
        }
        Command::Card { judging, sites, chosen, output, force } => {
            let settings = Settings { output, force, chosen, ..judging.settings() };
            Asked::Card { settings: Box::new(settings), sites }
        }
        Command::Compare { before, after, output, json, force } => {
            Asked::Compare(Compared { before, after, output, json, force })
        }
        Command::Learn { judging, from, save_rules, save_prices, output, json, force } => {
            let settings = Settings { output, json, force, ..judging.settings() };
            Asked::Learn(Box::new(Learning { settings, from, save_rules, save_prices }))
        }
        Command::Schema { name } => Asked::Schema { name },
    }
}
