//! The price book: prices, hours and rates by item code, with low, likely and high, basis and source.
//!
//! The default book is embedded; a user's own book is laid over it line by line. Items are found once, when the book
//! is read; after that they are numbers. It knows no design.

use super::backing::Backing;
use super::cause::{Cause, Shares};
use super::known::Known;
use super::read_book::{PriceBookError, lay_over};
use crate::digest::sha256_of;
use crate::quantity::Band;
use crate::rules::Rules;
use crate::site::Premises;
use std::collections::BTreeMap;
use std::path::Path;
use std::sync::OnceLock;

const DEFAULT_BOOK: &str = include_str!("../../sample-portfolio/price-book.csv");
const DEFAULT_NAME: &str = "price-book.csv (default)";

/// Where an item stands in a price book. The default's items stand in the same place in every book.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct ItemIndex(pub(super) usize);

/// What an item is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum ItemKind {
    /// Something bought and fitted.
    Material,
    /// Work or a permission bought from others, or an operator's charge.
    Service,
    /// Person-hours of our own.
    Task,
    /// A labour rate, a share or an allowance.
    Rate,
}

impl ItemKind {
    /// Every kind.
    pub const ALL: [ItemKind; 4] = [ItemKind::Material, ItemKind::Service, ItemKind::Task, ItemKind::Rate];

    /// The word of the price book.
    pub fn word(self) -> &'static str {
        match self {
            ItemKind::Material => "material",
            ItemKind::Service => "service",
            ItemKind::Task => "task",
            ItemKind::Rate => "rate",
        }
    }

    /// With what its figures go wrong where the book does not say.
    pub(super) fn usual_cause(self) -> Cause {
        match self {
            ItemKind::Material => Cause::Equipment,
            ItemKind::Service => Cause::Services,
            ItemKind::Task => Cause::Hours,
            ItemKind::Rate => Cause::LabourRate,
        }
    }
}

/// One line of the price book.
#[derive(Clone, Debug, PartialEq)]
pub struct Item {
    /// Code.
    pub code: &'static str,
    /// In words.
    pub description: &'static str,
    /// What it is.
    pub kind: ItemKind,
    /// Unit of a quantity of it; for a task "h a metre" and the like.
    pub unit: &'static str,
    /// Pounds before tax a unit; person-hours a unit for a task; the rate, share or allowance itself for a rate.
    pub figure: Band,
    /// The labour rate of a task.
    pub labour_rate: Option<ItemIndex>,
    /// With what its figure goes wrong.
    pub cause: Cause,
    /// Price year.
    pub year: u16,
    /// How well it is known.
    pub basis: &'static str,
    /// Where it comes from.
    pub source: &'static str,
    /// Notes.
    pub notes: &'static str,
    /// Whether the line is from the user's own book.
    pub own: bool,
    /// On what kind of figures its cost rests, the labour rate of a task included; worked out when the book is read.
    pub backing: Backing,
    /// Pounds before tax a unit, labour included; worked out when the book is read.
    pub(super) unit_cost: Band,
    /// Persons who work together on a task on site; 0 for desk work and for everything that is not a task.
    pub(super) crew: u8,
}

/// Prices, hours and rates.
#[derive(Clone, Debug)]
pub struct PriceBook {
    /// File name, or the name of the default.
    pub name: String,
    /// SHA-256 of the file; of the default where there is no other.
    pub sha256: String,
    pub(super) items: Vec<Item>,
    pub(super) by_code: BTreeMap<&'static str, ItemIndex>,
    pub(super) known: Known,
    /// How much of each cause's doubt is shared, in the order of the causes.
    pub(super) shares: [Shares; Cause::ALL.len()],
    /// Items of a one-phase and of a three-phase charge point.
    pub(super) charge_points: [ItemIndex; 2],
}

impl PriceBook {
    /// The embedded default.
    pub fn default_book() -> &'static PriceBook {
        static BOOK: OnceLock<PriceBook> = OnceLock::new();
        BOOK.get_or_init(|| match Self::build(DEFAULT_NAME, None) {
            Ok(book) => book,
            // Embedded at build time and read by a test: a fault here cannot reach a released build.
            Err(fault) => unreachable!("default price book: {fault}"),
        })
    }

    /// A user's own book laid over the default: lines it does not hold keep the default's prices.
    ///
    /// # Errors
    /// When the file cannot be read, or a line is malformed; the error names file, line, column, what was found and
    /// what was expected.
    pub fn load(path: &Path) -> Result<PriceBook, PriceBookError> {
        let file = path.display().to_string();
        let bytes = std::fs::read(path)
            .map_err(|fault| PriceBookError::Unreadable { file: file.clone(), why: fault.to_string() })?;
        let name = path.file_name().map_or(file, |name| name.to_string_lossy().into_owned());
        Self::from_csv(&name, &bytes)
    }

    /// The same from bytes already read; `name` is the file as results and errors name it.
    ///
    /// # Errors
    /// As [`PriceBook::load`], without the reading.
    pub fn from_csv(name: &str, bytes: &[u8]) -> Result<PriceBook, PriceBookError> {
        Self::build(name, Some(bytes))
    }

    fn build(name: &str, own: Option<&[u8]>) -> Result<PriceBook, PriceBookError> {
        let (mut items, mut by_code) = (Vec::new(), BTreeMap::new());
        lay_over(&mut items, &mut by_code, DEFAULT_NAME, DEFAULT_BOOK.as_bytes(), false)?;
        if let Some(bytes) = own {
            lay_over(&mut items, &mut by_code, name, bytes, true)?;
        }
        price_units(&mut items);
        let known = Known::find(|code| by_code.get(code).copied())
            .map_err(|item| PriceBookError::NoSuchItem { named_in: DEFAULT_NAME.to_owned(), item })?;
        let charge_points = [known.charge_point_1ph, known.charge_point_3ph];
        let share = |index: ItemIndex| items.get(index.0).map_or(0.0, |item: &Item| item.figure.likely);
        let shares = Cause::ALL.map(|cause| {
            let known = known.doubt.get(cause as usize);
            known.map_or(Shares::default(), |(all, site)| Shares { everywhere: share(*all), site: share(*site) })
        });
        let sha256 = sha256_of(own.unwrap_or(DEFAULT_BOOK.as_bytes()));
        Ok(PriceBook { name: name.to_owned(), sha256, items, by_code, known, shares, charge_points })
    }

    /// The same book with the charge points that the rules name.
    ///
    /// # Errors
    /// When the rules name an item that the book does not hold.
    pub fn with_charge_points(mut self, rules: &Rules) -> Result<PriceBook, PriceBookError> {
        for (slot, phases) in self.charge_points.iter_mut().zip([1, 3]) {
            if let Some(point) = rules.charge_point.iter().find(|point| point.phases == phases) {
                *slot = *self.by_code.get(point.item.as_str()).ok_or_else(|| PriceBookError::NoSuchItem {
                    named_in: format!("{}, charge_point \"{}\"", rules.source.name, point.name),
                    item: point.item.clone(),
                })?;
            }
        }
        self.refuse_items_that_nothing_uses(rules)?;
        Ok(self)
    }

    /// The same book at the prices of another year, by the yearly changes of the rules: prices and labour rates, never
    /// hours, shares or allowances. Every line moves from its own year; those of that year or later stay.
    pub fn indexed(mut self, year: i16, rules: &Rules) -> PriceBook {
        let price = &rules.price;
        for item in &mut self.items {
            let percent = match item.kind {
                ItemKind::Material | ItemKind::Service => price.materials_percent_a_year,
                ItemKind::Rate if item.unit.starts_with("GBP") => price.labour_percent_a_year,
                ItemKind::Rate | ItemKind::Task => continue,
            };
            let years = i32::from(year) - i32::from(item.year);
            if years > 0 {
                item.figure = item.figure.scaled((1.0 + percent / 100.0).powi(years));
                item.year = u16::try_from(year).unwrap_or(item.year);
            }
        }
        price_units(&mut self.items);
        self
    }

    /// A mistyped code would otherwise change no price, and nobody would know.
    fn refuse_items_that_nothing_uses(&self, rules: &Rules) -> Result<(), PriceBookError> {
        let is_used = |code: &str, index: ItemIndex| {
            Self::default_book().index(code).is_some()
                || rules.charge_point.iter().any(|point| point.item == code)
                || self.items.iter().any(|item| item.labour_rate == Some(index))
        };
        match self.by_code.iter().find(|(code, index)| !is_used(code, **index)) {
            Some((code, _)) => Err(PriceBookError::UnusedItem { file: self.name.clone(), item: (*code).to_owned() }),
            None => Ok(()),
        }
    }

    /// Where the item with this code stands.
    pub fn index(&self, code: &str) -> Option<ItemIndex> {
        self.by_code.get(code).copied()
    }

    /// The item at an index.
    pub fn item(&self, index: ItemIndex) -> Option<&Item> {
        self.items.get(index.0)
    }

    /// The item with this code.
    pub fn by_code(&self, code: &str) -> Option<&Item> {
        self.index(code).and_then(|index| self.item(index))
    }

    /// Labour rates that name a crew which works on site: code, and persons who work together.
    pub fn crew_rates(&self) -> impl Iterator<Item = (&'static str, u8)> + '_ {
        let rates = self.items.iter().filter(|item| item.kind == ItemKind::Rate);
        rates.map(|item| (item.code, crew_of(item.unit))).filter(|(_, persons)| *persons > 0)
    }

    /// Every line, the default's first, in the order of the files.
    pub fn items(&self) -> &[Item] {
        &self.items
    }

    /// Items and quantities from text such as `earth-rod:2|drive-rod:2`; blank text gives none.
    ///
    /// # Errors
    /// The part that is not an item of this book with a quantity of at least 0, in a sentence.
    pub fn parse_items(&self, text: &str) -> Result<Vec<(ItemIndex, f64)>, String> {
        let parts = text.split('|').map(str::trim).filter(|part| !part.is_empty());
        let read = |part: &str| -> Option<(ItemIndex, f64)> {
            let (code, quantity) = part.split_once(':')?;
            let quantity: f64 = quantity.trim().parse().ok()?;
            (quantity.is_finite() && quantity >= 0.0).then_some(())?;
            Some((self.index(code.trim())?, quantity))
        };
        parts
            .map(|part| {
                read(part).ok_or_else(|| format!("\"{part}\" is not an item of {} with its quantity.", self.name))
            })
            .collect()
    }

    /// Walls drilled at a place where the survey does not count them.
    pub fn assumed_walls(&self, premises: Premises) -> Band {
        self.figure(if premises.is_home() { self.known.walls_home } else { self.known.walls_shared })
    }

    /// The figure of an allowance, share or rate.
    pub(super) fn figure(&self, index: ItemIndex) -> Band {
        // Indices are made by the book itself, so the item is there; a foreign index counts as nothing.
        self.items.get(index.0).map(|item| item.figure).unwrap_or_default()
    }

    /// Working hours of a crew day on site, travel left out.
    pub(super) fn crew_day_h(&self) -> f64 {
        self.figure(self.known.crew_day).likely.max(1.0)
    }

    /// How much of each cause's doubt is shared, in the order of the causes.
    pub fn shares(&self) -> &[Shares; Cause::ALL.len()] {
        &self.shares
    }

    /// The figures whose product is the cost of a unit of an item, each with what it goes wrong with.
    pub fn figures_of<'a>(&'a self, item: &'a Item) -> impl Iterator<Item = (Cause, Band)> {
        let rate = item.labour_rate.and_then(|rate| self.items.get(rate.0));
        std::iter::once(item).chain(rate).map(|item| (item.cause, item.figure))
    }
}

/// Pounds a unit of everything, what it rests on, and the crew of every task.
fn price_units(items: &mut [Item]) {
    let rates: Vec<(Band, u8, Backing)> =
        items.iter().map(|item| (item.figure, crew_of(item.unit), Backing::of(item.basis))).collect();
    for item in items {
        item.backing = Backing::of(item.basis);
        item.unit_cost = match item.kind {
            ItemKind::Material | ItemKind::Service => item.figure,
            ItemKind::Rate => Band::default(),
            ItemKind::Task => {
                // A task without a rate is refused when the book is read.
                let (rate, crew, backing) =
                    item.labour_rate.and_then(|rate| rates.get(rate.0)).copied().unwrap_or_default();
                item.crew = crew;
                item.backing = item.backing.max(backing);
                item.figure.times(rate)
            }
        };
    }
}

/// Persons in the crew of a labour rate whose unit is "GBP a person-hour, crew of 2"; 0 for desk work.
fn crew_of(unit: &str) -> u8 {
    unit.rsplit_once("crew of ").and_then(|(_, crew)| crew.trim().parse().ok()).unwrap_or(0)
}
