//! What a formula comes to, as a spreadsheet program would reckon it: blanks count as nothing, texts compare without
//! their case, an error goes through everything but IFERROR. It knows no site.

use super::formula::{Formula, Function, Operator};
use std::cmp::Ordering;
use std::sync::Arc;

/// The content of a cell or of a range of cells.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Value {
    /// An empty cell.
    Blank,
    /// A number.
    Number(f64),
    /// A text.
    Text(Arc<str>),
    /// Yes or no.
    Truth(bool),
    /// No value: something was looked for and not found, or divided by nothing.
    Fault,
    /// A range.
    Grid(Arc<Grid>),
}

/// A range of cells, row by row.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Grid {
    /// Columns.
    pub(super) columns: usize,
    /// Cells, the first row first.
    pub(super) cells: Vec<Value>,
}

impl Grid {
    /// The cell of a row and column, both from 1.
    fn at(&self, row: f64, column: f64) -> Value {
        let inside = row >= 1.0 && column >= 1.0 && column < self.columns as f64 + 1.0;
        let index = (row as usize).wrapping_sub(1).wrapping_mul(self.columns) + (column as usize).wrapping_sub(1);
        if inside { self.cells.get(index).cloned().unwrap_or(Value::Fault) } else { Value::Fault }
    }
}

impl From<f64> for Value {
    fn from(number: f64) -> Self {
        Value::Number(number)
    }
}

impl From<&str> for Value {
    fn from(text: &str) -> Self {
        if text.is_empty() { Value::Blank } else { Value::Text(text.into()) }
    }
}

impl From<bool> for Value {
    fn from(truth: bool) -> Self {
        Value::Truth(truth)
    }
}

impl Value {
    /// As a number; `None` for a text that is none, an error or a range.
    pub(super) fn number(&self) -> Option<f64> {
        match self {
            Value::Blank => Some(0.0),
            Value::Number(number) => Some(*number),
            Value::Truth(truth) => Some(f64::from(u8::from(*truth))),
            Value::Text(_) | Value::Fault | Value::Grid(_) => None,
        }
    }

    fn truth(&self) -> Option<bool> {
        self.number().map(|number| number != 0.0)
    }

    fn text(&self) -> Option<String> {
        match self {
            Value::Blank => Some(String::new()),
            Value::Number(number) => Some(number.to_string()),
            Value::Text(text) => Some(text.to_string()),
            Value::Truth(_) | Value::Fault | Value::Grid(_) => None,
        }
    }
}

/// Where names get their values from.
pub(super) trait Names {
    /// The value of a name.
    fn value(&self, name: &str) -> Value;
}

/// What the formula of a cell comes to: an empty cell that it only points to is shown as nothing.
pub(super) fn result(formula: &Formula, names: &dyn Names) -> Value {
    match evaluate(formula, names) {
        Value::Blank => Value::Number(0.0),
        value => value,
    }
}

/// What a formula comes to within another.
fn evaluate(formula: &Formula, names: &dyn Names) -> Value {
    match formula {
        Formula::Number(number) => Value::Number(*number),
        Formula::Text(text) => Value::Text(text.as_str().into()),
        Formula::Name(name) => names.value(name),
        Formula::Binary(operator, left, right) => spread(*operator, &evaluate(left, names), &evaluate(right, names)),
        Formula::Call(function, arguments) => call(*function, arguments, names).unwrap_or(Value::Fault),
    }
}

/// An operator over two cells, or cell by cell where one side is a range.
fn spread(operator: Operator, left: &Value, right: &Value) -> Value {
    let cell = |value: &Value, index: usize| match value {
        Value::Grid(grid) => grid.cells.get(index).cloned().unwrap_or(Value::Fault),
        value => value.clone(),
    };
    match (left, right) {
        (Value::Grid(grid), _) | (_, Value::Grid(grid)) => {
            let cells = 0..grid.cells.len();
            let cells = cells.map(|index| apply(operator, &cell(left, index), &cell(right, index))).collect();
            Value::Grid(Arc::new(Grid { columns: grid.columns, cells }))
        }
        _ => apply(operator, left, right),
    }
}

fn apply(operator: Operator, left: &Value, right: &Value) -> Value {
    use Operator::{AtLeast, AtMost, Differs, Equal, Greater, Join, Less, Minus, Over, Plus, Power, Times};
    if matches!(left, Value::Fault) || matches!(right, Value::Fault) {
        return Value::Fault;
    }
    match operator {
        Plus | Minus | Times | Over | Power => {
            let (Some(left), Some(right)) = (left.number(), right.number()) else { return Value::Fault };
            let result = match operator {
                Plus => left + right,
                Minus => left - right,
                Times => left * right,
                Over => left / right,
                _ if right == 2.0 => left * left,
                _ => left.powf(right),
            };
            if result.is_finite() { Value::Number(result) } else { Value::Fault }
        }
        Join => match (left.text(), right.text()) {
            (Some(left), Some(right)) => Value::Text((left + &right).into()),
            _ => Value::Fault,
        },
        Equal | Differs | Less | AtMost | Greater | AtLeast => {
            let order = compared(left, right);
            Value::Truth(match operator {
                Equal => order == Ordering::Equal,
                Differs => order != Ordering::Equal,
                Less => order == Ordering::Less,
                AtMost => order != Ordering::Greater,
                Greater => order == Ordering::Greater,
                _ => order != Ordering::Less,
            })
        }
    }
}

/// Numbers before texts before yes and no; an empty cell is as nothing of the other's kind.
fn compared(left: &Value, right: &Value) -> Ordering {
    match (left, right) {
        (Value::Blank, Value::Text(text)) => "".cmp(&text.to_lowercase()),
        (Value::Text(text), Value::Blank) => text.to_lowercase().as_str().cmp(""),
        (Value::Text(left), Value::Text(right)) => left.to_lowercase().cmp(&right.to_lowercase()),
        (Value::Text(_), _) => Ordering::Greater,
        (_, Value::Text(_)) => Ordering::Less,
        _ => left.number().unwrap_or_default().total_cmp(&right.number().unwrap_or_default()),
    }
}

/// A function; `None` where it has no value.
fn call(function: Function, arguments: &[Formula], names: &dyn Names) -> Option<Value> {
    let value = |index: usize| arguments.get(index).map(|argument| evaluate(argument, names));
    let number = |index: usize| value(index)?.number();
    let truths = || arguments.iter().map(|argument| evaluate(argument, names).truth()).collect::<Option<Vec<_>>>();
    Some(match function {
        Function::If => match value(0)?.truth()? {
            true => value(1)?,
            false => value(2)?,
        },
        Function::IfError => match value(0)? {
            Value::Fault => value(1)?,
            found => found,
        },
        Function::And => truths()?.into_iter().all(|truth| truth).into(),
        Function::Or => truths()?.into_iter().any(|truth| truth).into(),
        Function::Not => (!value(0)?.truth()?).into(),
        Function::Min => extreme(arguments, names, f64::min)?,
        Function::Max => extreme(arguments, names, f64::max)?,
        Function::Index => {
            let Value::Grid(grid) = value(0)? else { return None };
            let column = if arguments.len() > 2 { number(2)? } else { 1.0 };
            grid.at(number(1)?, column)
        }
        Function::Match => {
            let (wanted, Value::Grid(grid)) = (value(0)?, value(1)?) else { return None };
            let same = |cell: &Value| {
                let alike = matches!(cell, Value::Text(_)) == matches!(wanted, Value::Text(_));
                alike && *cell != Value::Blank && compared(cell, &wanted) == Ordering::Equal
            };
            Value::Number(grid.cells.iter().position(same)? as f64 + 1.0)
        }
        Function::Sumproduct => match value(0)? {
            Value::Grid(grid) => {
                let cell =
                    |value: &Value| if *value == Value::Fault { None } else { Some(value.number().unwrap_or(0.0)) };
                Value::Number(grid.cells.iter().map(cell).sum::<Option<f64>>()?)
            }
            single => single,
        },
        Function::IsNumber => matches!(value(0)?, Value::Number(_)).into(),
        Function::Sqrt => Value::Number(number(0).filter(|number| *number >= 0.0)?.sqrt()),
        Function::Int => Value::Number(number(0)?.floor()),
        Function::Round => {
            let scale = 10_f64.powf(number(1)?);
            let scaled = number(0)? * scale;
            Value::Number(scaled.signum() * scaled.abs().round() / scale)
        }
    })
}

/// The least or greatest of numbers, and of the numbers in ranges.
fn extreme(arguments: &[Formula], names: &dyn Names, of: fn(f64, f64) -> f64) -> Option<Value> {
    let mut found: Option<f64> = None;
    for argument in arguments {
        let take = |number: f64| found.map_or(number, |found| of(found, number));
        match evaluate(argument, names) {
            Value::Grid(grid) => {
                for cell in &grid.cells {
                    match cell {
                        Value::Fault => return None,
                        Value::Number(number) => found = Some(found.map_or(*number, |found| of(found, *number))),
                        _ => {}
                    }
                }
            }
            single => found = Some(take(single.number()?)),
        }
    }
    found.map(Value::Number)
}

#[cfg(test)]
mod tests {
    use super::super::formula::parse;
    use super::*;

    struct Few;

    impl Names for Few {
        fn value(&self, name: &str) -> Value {
            let column = |cells: Vec<Value>| Value::Grid(Arc::new(Grid { columns: 1, cells }));
            match name {
                "words" => column(vec!["Low".into(), "high".into(), Value::Blank]),
                "figures" => column(vec![1.5.into(), 2.5.into(), Value::Blank]),
                "empty" => Value::Blank,
                _ => Value::Fault,
            }
        }
    }

    fn of(text: &str) -> Value {
        result(&parse(text).expect("a formula"), &Few)
    }

    #[test]
    fn functions_answer_as_a_spreadsheet_does() {
        assert_eq!(of("IF(empty=\"\",1+2*3^2,0)"), Value::Number(19.0));
        assert_eq!(of("INDEX(figures,MATCH(\"HIGH\",words,0))"), Value::Number(2.5));
        assert_eq!(of("IFERROR(MATCH(\"none\",words,0),7)"), Value::Number(7.0));
        assert_eq!(of("SUMPRODUCT((words=\"low\")*figures)"), Value::Number(1.5));
        assert_eq!(of("INDEX(figures,3)"), Value::Number(0.0), "an empty cell is nothing");
        assert_eq!(of("IF(INDEX(figures,3)=\"\",1,2)"), Value::Number(1.0), "and is no text");
        assert_eq!(of("INDEX(figures,4)"), Value::Fault);
        assert_eq!(of("1/0"), Value::Fault);
        assert_eq!(of("MIN(3,figures)"), Value::Number(1.5));
        assert_eq!(of("ROUND(2.345,1)&\" A\""), Value::Text("2.3 A".into()));
        assert_eq!(of("AND(1<2,NOT(\"a\"=\"b\"),ISNUMBER(figures))"), Value::Truth(false));
        assert_eq!(of("unknown_name+1"), Value::Fault);
    }
}
