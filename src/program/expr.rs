//! Values of words: numbers, parameters, expressions in brackets, functions (NISTIR 6556, 3.3.2).
//!
//! Comparisons, named parameters and EXISTS are those of the successors of the report's interpreter (from memory).
//! Where a bracket compares, AND, OR and XOR bind less than the comparison; else they rank with the sum, as the
//! report has it.

use crate::program::number;
use crate::program::number::BadNumber;
use crate::program::oword;
use crate::program::params::Params;

/// Why a value could not be had.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fault {
    /// Nothing that begins a value, or an unknown function.
    Missing,
    /// A malformed number.
    BadNumber,
    /// A number or result that a double does not hold.
    NotFinite,
    /// A parameter that does not exist.
    ParameterIndex,
    /// A named parameter that the program has not set.
    Unset,
    /// A bracket that is not closed.
    Unbalanced,
    /// Something else than an operator between two values, or nested too deep.
    BadExpression,
    /// A division by zero.
    DivisionByZero,
    /// A function without result for its argument.
    BadArgument,
    /// An expression that stands without brackets.
    NoBrackets,
}

/// Brackets nested deeper than this are refused.
const DEEPEST: u32 = 64;

/// Reads values at a place of a line.
#[derive(Debug)]
pub struct Eval<'a> {
    /// The line.
    pub text: &'a [u8],
    /// Next byte to read.
    pub at: usize,
    params: &'a Params,
    depth: u32,
    /// Whether a parameter was read that the program had not set (taken as 0).
    pub met_unset: Option<usize>,
    /// Whether a sign stood before a parameter, bracket or function.
    pub met_sign: bool,
}

impl<'a> Eval<'a> {
    /// Begins at `at`.
    pub fn new(text: &'a [u8], at: usize, params: &'a Params) -> Self {
        Self {
            text,
            at,
            params,
            depth: 0,
            met_unset: None,
            met_sign: false,
        }
    }

    /// The next byte that is not blank.
    pub fn peek(&mut self) -> Option<u8> {
        while let Some(b' ' | b'\t') = self.text.get(self.at) {
            self.at += 1;
        }
        self.text.get(self.at).copied()
    }

    /// Reads one value.
    ///
    /// # Errors
    ///
    /// A [`Fault`]; the place then stands behind what could be recognised.
    pub fn value(&mut self) -> Result<f64, Fault> {
        match self.peek() {
            Some(b'0'..=b'9' | b'.') => self.number(),
            Some(sign @ (b'+' | b'-')) => {
                let start = self.at;
                self.at += 1;
                if let Some(b'#' | b'[' | b'a'..=b'z' | b'A'..=b'Z') = self.peek() {
                    self.met_sign = true;
                    let value = self.nested(Self::value)?;
                    Ok(if sign == b'-' { -value } else { value })
                } else {
                    self.at = start;
                    self.number()
                }
            }
            Some(b'#') => {
                self.at += 1;
                if self.peek() == Some(b'<') {
                    let name = self.name()?;
                    return self.params.named(&name).ok_or(Fault::Unset);
                }
                let index = self.nested(Self::value)?;
                let index = Params::index(index).ok_or(Fault::ParameterIndex)?;
                Ok(self.params.get(index).unwrap_or_else(|| {
                    self.met_unset.get_or_insert(index);
                    0.0
                }))
            }
            Some(b'[') => self.bracket(),
            Some(b'a'..=b'z' | b'A'..=b'Z') => self.function(),
            _ => Err(Fault::Missing),
        }
    }

    /// The name of a parameter in angle brackets.
    ///
    /// # Errors
    ///
    /// A bracket that is empty or not closed.
    pub fn name(&mut self) -> Result<String, Fault> {
        let (name, end) = oword::name(self.text, self.at).ok_or(Fault::ParameterIndex)?;
        self.at = end;
        Ok(name)
    }

    fn nested(&mut self, read: impl Fn(&mut Self) -> Result<f64, Fault>) -> Result<f64, Fault> {
        if self.depth >= DEEPEST {
            return Err(Fault::BadExpression);
        }
        self.depth += 1;
        let value = read(self);
        self.depth -= 1;
        value
    }

    fn number(&mut self) -> Result<f64, Fault> {
        match number::number(self.text, self.at) {
            Ok((value, end)) => {
                self.at = end;
                Ok(value)
            }
            Err((fault, end)) => {
                self.at = end;
                Err(match fault {
                    BadNumber::Malformed => Fault::BadNumber,
                    BadNumber::NotFinite => Fault::NotFinite,
                })
            }
        }
    }

    fn bracket(&mut self) -> Result<f64, Fault> {
        self.at += 1;
        let value = self.nested(Self::chain)?;
        match self.peek() {
            Some(b']') => {
                self.at += 1;
                Ok(value)
            }
            None => Err(Fault::Unbalanced),
            Some(_) => Err(Fault::BadExpression),
        }
    }

    /// Values with operators between them; equal ranks run from the left.
    fn chain(&mut self) -> Result<f64, Fault> {
        let mut values = vec![self.value()?];
        let mut operators = vec![];
        while let Some(operator) = self.operator() {
            self.at += operator.length(&self.text[self.at..]);
            operators.push(operator);
            values.push(self.value()?);
        }
        let compares = operators.iter().any(|operator| operator.compares());
        for rank in (1..=HIGHEST).rev() {
            let mut left = 0;
            let mut kept = vec![];
            for (i, operator) in operators.iter().enumerate() {
                if operator.rank(compares) == rank {
                    values[left] = operator.apply(values[left], values[i + 1])?;
                } else {
                    kept.push(*operator);
                    left += 1;
                    values[left] = values[i + 1];
                }
            }
            operators = kept;
        }
        Ok(values[0])
    }

    fn operator(&mut self) -> Option<Operator> {
        self.peek()?;
        let rest = &self.text[self.at..];
        if rest.starts_with(b"**") {
            return Some(Operator::Power);
        }
        match rest[0] {
            b'*' => return Some(Operator::Times),
            b'/' => return Some(Operator::Over),
            b'+' => return Some(Operator::Plus),
            b'-' => return Some(Operator::Minus),
            _ => {}
        }
        WORDS
            .iter()
            .find(|(word, _)| spelled(rest, word).is_some())
            .map(|(_, operator)| *operator)
    }

    /// Whether a named parameter is set: `EXISTS[#<name>]`, behind its bracket.
    fn exists(&mut self) -> Result<f64, Fault> {
        self.at += 1;
        if self.peek() != Some(b'#') {
            return Err(Fault::BadArgument);
        }
        self.at += 1;
        self.peek();
        let name = self.name()?;
        if self.peek() != Some(b']') {
            return Err(Fault::Unbalanced);
        }
        self.at += 1;
        Ok(f64::from(u8::from(self.params.named(&name).is_some())))
    }

    /// Reads on where an expression stands without brackets: an operator follows the value, and parameters,
    /// brackets or functions are on either side of it. Whether it was so; `is_setting` where numbers do as well.
    pub fn runs_on(&mut self, start: usize, is_setting: bool) -> bool {
        let is_more = |byte: Option<&u8>| {
            byte.is_some_and(|b| matches!(b, b'#' | b'[') || b.is_ascii_alphabetic())
        };
        let mut found = false;
        let mut is_expression = is_setting || is_more(self.text.get(start));
        loop {
            let before = self.at;
            let Some(operator) = self.operator() else {
                self.at = before;
                return found;
            };
            self.at += operator.length(&self.text[self.at..]);
            self.peek();
            is_expression |= is_more(self.text.get(self.at));
            if !is_expression || self.value().is_err() {
                self.at = before;
                return found;
            }
            found = true;
        }
    }

    fn function(&mut self) -> Result<f64, Fault> {
        const NAMES: [&[u8]; 14] = [
            b"ABS", b"ACOS", b"ASIN", b"ATAN", b"COS", b"EXP", b"FIX", b"FUP", b"LN", b"ROUND",
            b"SIN", b"SQRT", b"TAN", b"EXISTS",
        ];
        let rest = &self.text[self.at..];
        let found = NAMES.iter().find_map(|name| {
            let length = spelled(rest, name)?;
            let mut after = rest[length..].iter().filter(|b| !matches!(b, b' ' | b'\t'));
            (after.next() == Some(&b'[')).then_some((*name, length))
        });
        let Some((name, length)) = found else {
            return Err(Fault::Missing);
        };
        self.at += length;
        self.peek();
        if name == b"EXISTS" {
            return self.exists();
        }
        let x = self.bracket()?;
        let value = match name {
            b"ATAN" => {
                if self.peek() != Some(b'/') {
                    return Err(Fault::BadExpression);
                }
                self.at += 1;
                if self.peek() != Some(b'[') {
                    return Err(Fault::BadExpression);
                }
                let y = self.bracket()?;
                x.atan2(y).to_degrees()
            }
            b"ABS" => x.abs(),
            b"ACOS" if x.abs() <= 1.0 => x.acos().to_degrees(),
            b"ASIN" if x.abs() <= 1.0 => x.asin().to_degrees(),
            b"COS" => x.to_radians().cos(),
            b"EXP" => x.exp(),
            b"FIX" => x.floor(),
            b"FUP" => x.ceil(),
            b"LN" if x > 0.0 => x.ln(),
            b"ROUND" => x.round(),
            b"SIN" => x.to_radians().sin(),
            b"SQRT" if x >= 0.0 => x.sqrt(),
            b"TAN" => x.to_radians().tan(),
            _ => return Err(Fault::BadArgument),
        };
        finite(value)
    }
}

/// Length of `word` at the head of `text`, in either case, blanks inside it left out.
fn spelled(text: &[u8], word: &[u8]) -> Option<usize> {
    let mut letters = word.iter();
    let mut wanted = letters.next()?;
    for (i, byte) in text.iter().enumerate() {
        if matches!(byte, b' ' | b'\t') && i > 0 {
            continue;
        }
        if byte.to_ascii_uppercase() != *wanted {
            return None;
        }
        match letters.next() {
            Some(next) => wanted = next,
            None => return Some(i + 1),
        }
    }
    None
}

fn finite(value: f64) -> Result<f64, Fault> {
    if value.is_finite() {
        Ok(value)
    } else {
        Err(Fault::NotFinite)
    }
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Operator {
    Power,
    Times,
    Over,
    Mod,
    Plus,
    Minus,
    Or,
    Xor,
    And,
    Eq,
    Ne,
    Gt,
    Ge,
    Lt,
    Le,
}

/// Operators that are words.
const WORDS: [(&[u8], Operator); 10] = [
    (b"MOD", Operator::Mod),
    (b"OR", Operator::Or),
    (b"XOR", Operator::Xor),
    (b"AND", Operator::And),
    (b"EQ", Operator::Eq),
    (b"NE", Operator::Ne),
    (b"GT", Operator::Gt),
    (b"GE", Operator::Ge),
    (b"LT", Operator::Lt),
    (b"LE", Operator::Le),
];

/// Values closer than this are equal (from memory): a sum of tenths is to end where it is meant to.
const ALIKE: f64 = 1e-6;

/// Highest rank of an operator.
const HIGHEST: u8 = 5;

impl Operator {
    fn compares(self) -> bool {
        matches!(
            self,
            Self::Eq | Self::Ne | Self::Gt | Self::Ge | Self::Lt | Self::Le
        )
    }

    /// Higher ranks come first; `among_comparisons` where the same bracket compares.
    fn rank(self, among_comparisons: bool) -> u8 {
        match self {
            Self::Power => HIGHEST,
            Self::Times | Self::Over | Self::Mod => 4,
            Self::Or | Self::Xor | Self::And if among_comparisons => 1,
            Self::Plus | Self::Minus | Self::Or | Self::Xor | Self::And => 3,
            Self::Eq | Self::Ne | Self::Gt | Self::Ge | Self::Lt | Self::Le => 2,
        }
    }

    fn length(self, text: &[u8]) -> usize {
        let word = match self {
            Self::Power => return 2,
            Self::Times | Self::Over | Self::Plus | Self::Minus => return 1,
            _ => WORDS
                .iter()
                .find(|(_, operator)| *operator == self)
                .map_or(&b""[..], |(word, _)| word),
        };
        spelled(text, word).unwrap_or(word.len())
    }

    fn apply(self, a: f64, b: f64) -> Result<f64, Fault> {
        let truth = |is: bool| Ok(if is { 1.0 } else { 0.0 });
        match self {
            Self::Power if a == 0.0 && b < 0.0 => Err(Fault::DivisionByZero),
            Self::Power if a < 0.0 && b.fract() != 0.0 => Err(Fault::BadArgument),
            Self::Power => finite(a.powf(b)),
            Self::Times => finite(a * b),
            Self::Over | Self::Mod if b == 0.0 => Err(Fault::DivisionByZero),
            Self::Over => finite(a / b),
            // Never negative; the report does not say.
            Self::Mod => finite(a.rem_euclid(b)),
            Self::Plus => finite(a + b),
            Self::Minus => finite(a - b),
            Self::Or => truth(a != 0.0 || b != 0.0),
            Self::Xor => truth((a != 0.0) != (b != 0.0)),
            Self::And => truth(a != 0.0 && b != 0.0),
            Self::Eq => truth((a - b).abs() < ALIKE),
            Self::Ne => truth((a - b).abs() >= ALIKE),
            Self::Gt => truth(a > b),
            Self::Ge => truth(a >= b),
            Self::Lt => truth(a < b),
            Self::Le => truth(a <= b),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn value(text: &str) -> Result<f64, Fault> {
        Eval::new(text.as_bytes(), 0, &Params::default()).value()
    }

    #[test]
    fn ranks_and_order_follow_the_report() {
        // NISTIR 6556, 3.3.2.3 (the example) and appendix C.2.
        assert_eq!(value("[2.0/3*1.5-5.5/11.0]"), Ok(0.5));
        assert_eq!(value("[2**3**2]"), Ok(64.0));
        assert_eq!(value("[1 --3]"), Ok(4.0));
        assert_eq!(value("[15 MOD 4.0]"), Ok(3.0));
        assert_eq!(value("[2 a n d 2]"), Ok(1.0));
        assert_eq!(value("[[2 AND 0] + [0 OR 5]]"), Ok(1.0));
    }

    #[test]
    fn functions_follow_the_report() {
        // NISTIR 6556, 3.3.2.4.
        assert_eq!(value("FIX[-2.8]"), Ok(-3.0));
        assert_eq!(value("fup[-2.8]"), Ok(-2.0));
        assert!((value("atan[1.7321]/[1.0]").unwrap() - 60.0).abs() < 1e-3);
        assert!((value("SIN[30]").unwrap() - 0.5).abs() < 1e-12);
        assert_eq!(value("-SQRT[16]"), Ok(-4.0));
    }

    #[test]
    fn a_bracket_that_compares_is_true_or_false() {
        assert_eq!(value("[1 LT 2]"), Ok(1.0));
        assert_eq!(value("[2 l t 2]"), Ok(0.0));
        assert_eq!(value("[2 LE 2]"), Ok(1.0));
        assert_eq!(value("[0.1+0.2 EQ 0.3]"), Ok(1.0));
        assert_eq!(value("[1 NE 1]"), Ok(0.0));
        // Sums first, then comparisons, then logic.
        assert_eq!(value("[1+1 GT 1 AND 5 GE 2+3]"), Ok(1.0));
        assert_eq!(value("[1 GT 2 OR 3 GT 2]"), Ok(1.0));
        assert_eq!(value("[EXISTS[#<width>]]"), Ok(0.0));
        assert_eq!(value("[#<width>+1]"), Err(Fault::Unset));
    }

    #[test]
    fn what_has_no_value_says_why() {
        for (text, fault) in [
            ("", Fault::Missing),
            ("asim[0.5]", Fault::Missing),
            ("[1/0]", Fault::DivisionByZero),
            ("[1 mod 0]", Fault::DivisionByZero),
            ("SQRT[-1]", Fault::BadArgument),
            ("ln[0]", Fault::BadArgument),
            ("acos[2]", Fault::BadArgument),
            ("[[0-8]**.5]", Fault::BadArgument),
            ("[10**400]", Fault::NotFinite),
            ("[1+[2*3]", Fault::Unbalanced),
            ("[1 % 2]", Fault::BadExpression),
            ("#0", Fault::ParameterIndex),
            ("#5400", Fault::ParameterIndex),
            ("#1.5", Fault::ParameterIndex),
            ("ATAN[1]", Fault::BadExpression),
        ] {
            assert_eq!(value(text), Err(fault), "{text}");
        }
    }

    #[test]
    fn brackets_without_end_do_not_exhaust_the_stack() {
        for text in ["[", "#", "-#", "-[", "SIN["] {
            assert!(value(&text.repeat(60_000)).is_err(), "{text}");
        }
    }
}
