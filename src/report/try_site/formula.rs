//! The formulas of the workbook's own calculation, as text of a spreadsheet: parsed here so that their results can be
//! stored beside them. It knows numbers, names and a dozen functions that every spreadsheet program has; no site.

use std::fmt;

/// A formula, parsed.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Formula {
    /// A number as typed.
    Number(f64),
    /// A text in quotes.
    Text(String),
    /// A defined name.
    Name(String),
    /// Two operands.
    Binary(Operator, Box<Formula>, Box<Formula>),
    /// A function with its arguments.
    Call(Function, Vec<Formula>),
}

/// An operator.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs)]
pub(super) enum Operator {
    Plus,
    Minus,
    Times,
    Over,
    Power,
    Join,
    Equal,
    Differs,
    Less,
    AtMost,
    Greater,
    AtLeast,
}

/// A function that the formulas may use: each is in every spreadsheet program of the last fifteen years.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs)]
pub(super) enum Function {
    If,
    IfError,
    And,
    Or,
    Not,
    Min,
    Max,
    Index,
    Match,
    Sumproduct,
    IsNumber,
    Sqrt,
    Int,
    Round,
}

impl Function {
    /// Every function with its name.
    pub(super) const ALL: [(Function, &'static str); 14] = [
        (Function::If, "IF"),
        (Function::IfError, "IFERROR"),
        (Function::And, "AND"),
        (Function::Or, "OR"),
        (Function::Not, "NOT"),
        (Function::Min, "MIN"),
        (Function::Max, "MAX"),
        (Function::Index, "INDEX"),
        (Function::Match, "MATCH"),
        (Function::Sumproduct, "SUMPRODUCT"),
        (Function::IsNumber, "ISNUMBER"),
        (Function::Sqrt, "SQRT"),
        (Function::Int, "INT"),
        (Function::Round, "ROUND"),
    ];

    fn of(name: &str) -> Option<Self> {
        Self::ALL.iter().find(|(_, known)| *known == name).map(|(function, _)| *function)
    }
}

/// Why a text is no formula.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct NoFormula(String);

impl fmt::Display for NoFormula {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

/// The formula of a text without its equals sign.
///
/// # Errors
/// When the text is no formula of these few functions.
pub(super) fn parse(text: &str) -> Result<Formula, NoFormula> {
    let mut parser = Parser { rest: text };
    let formula = parser.comparison()?;
    parser.space();
    if parser.rest.is_empty() { Ok(formula) } else { Err(parser.fault("an end")) }
}

struct Parser<'a> {
    rest: &'a str,
}

impl Parser<'_> {
    fn fault(&self, wanted: &str) -> NoFormula {
        NoFormula(format!("{wanted} is wanted at {:?}", self.rest.chars().take(24).collect::<String>()))
    }

    fn space(&mut self) {
        self.rest = self.rest.trim_start();
    }

    fn eat(&mut self, token: &str) -> bool {
        self.space();
        match self.rest.strip_prefix(token) {
            Some(rest) => {
                self.rest = rest;
                true
            }
            None => false,
        }
    }

    /// A run of operands of the next level, joined from the left.
    fn chain(
        &mut self,
        next: fn(&mut Self) -> Result<Formula, NoFormula>,
        operators: &[(&str, Operator)],
    ) -> Result<Formula, NoFormula> {
        let mut left = next(self)?;
        while let Some((_, operator)) = operators.iter().find(|(token, _)| self.eat(token)) {
            left = Formula::Binary(*operator, Box::new(left), Box::new(next(self)?));
        }
        Ok(left)
    }

    fn comparison(&mut self) -> Result<Formula, NoFormula> {
        use Operator::{AtLeast, AtMost, Differs, Equal, Greater, Less};
        let tokens = [("<>", Differs), ("<=", AtMost), (">=", AtLeast), ("=", Equal), ("<", Less), (">", Greater)];
        self.chain(Self::join, &tokens)
    }

    fn join(&mut self) -> Result<Formula, NoFormula> {
        self.chain(Self::sum, &[("&", Operator::Join)])
    }

    fn sum(&mut self) -> Result<Formula, NoFormula> {
        self.chain(Self::product, &[("+", Operator::Plus), ("-", Operator::Minus)])
    }

    fn product(&mut self) -> Result<Formula, NoFormula> {
        self.chain(Self::power, &[("*", Operator::Times), ("/", Operator::Over)])
    }

    fn power(&mut self) -> Result<Formula, NoFormula> {
        self.chain(Self::atom, &[("^", Operator::Power)])
    }

    fn atom(&mut self) -> Result<Formula, NoFormula> {
        self.space();
        if self.eat("(") {
            let inner = self.comparison()?;
            return if self.eat(")") { Ok(inner) } else { Err(self.fault("a closing bracket")) };
        }
        if self.eat("\"") {
            let (text, rest) = self.rest.split_once('"').ok_or_else(|| self.fault("a closing quote"))?;
            self.rest = rest;
            return Ok(Formula::Text(text.to_owned()));
        }
        let word = |character: char| character.is_ascii_alphanumeric() || character == '_' || character == '.';
        let end = self.rest.find(|character| !word(character)).unwrap_or(self.rest.len());
        let (token, rest) = self.rest.split_at(end);
        if token.is_empty() {
            return Err(self.fault("a value"));
        }
        self.rest = rest;
        if token.starts_with(|character: char| character.is_ascii_digit()) {
            return token.parse().map(Formula::Number).map_err(|_| NoFormula(format!("{token} is no number")));
        }
        if !self.eat("(") {
            return Ok(Formula::Name(token.to_owned()));
        }
        let function = Function::of(token).ok_or_else(|| NoFormula(format!("{token} is no function of these")))?;
        let mut arguments = Vec::new();
        if !self.eat(")") {
            loop {
                arguments.push(self.comparison()?);
                if self.eat(")") {
                    break;
                }
                if !self.eat(",") {
                    return Err(self.fault("a comma"));
                }
            }
        }
        Ok(Formula::Call(function, arguments))
    }
}

impl Formula {
    /// Calls `visit` with every name in it.
    #[cfg(test)]
    pub(super) fn names(&self, visit: &mut impl FnMut(&str)) {
        match self {
            Formula::Number(_) | Formula::Text(_) => {}
            Formula::Name(name) => visit(name),
            Formula::Binary(_, left, right) => {
                left.names(visit);
                right.names(visit);
            }
            Formula::Call(_, arguments) => arguments.iter().for_each(|argument| argument.names(visit)),
        }
    }

    /// Calls `visit` with every number typed in it.
    #[cfg(test)]
    pub(super) fn numbers(&self, visit: &mut impl FnMut(f64)) {
        match self {
            Formula::Number(number) => visit(*number),
            Formula::Text(_) | Formula::Name(_) => {}
            Formula::Binary(_, left, right) => {
                left.numbers(visit);
                right.numbers(visit);
            }
            Formula::Call(_, arguments) => arguments.iter().for_each(|argument| argument.numbers(visit)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn operators_bind_as_in_a_spreadsheet() {
        let formula = parse("IF(a_b+2*c^2<=\"x\"&d, -1+0, 3)");
        assert!(formula.is_err(), "a leading minus is not used");
        let Ok(Formula::Call(Function::If, arguments)) = parse("IF(a_b+2*c_d^2<=x_y&d_e, 1, 3.5)") else {
            panic!("no formula")
        };
        let Formula::Binary(Operator::AtMost, left, right) = &arguments[0] else { panic!("a comparison") };
        assert!(matches!(&**left, Formula::Binary(Operator::Plus, ..)));
        assert!(matches!(&**right, Formula::Binary(Operator::Join, ..)));
        assert_eq!(arguments[2], Formula::Number(3.5));
    }

    #[test]
    fn what_is_no_formula_is_refused() {
        for text in ["", "1+", "(1", "\"open", "XLOOKUP(a_b)", "IF(1,2", "1 2"] {
            assert!(parse(text).is_err(), "{text}");
        }
    }
}
