//! Values of words: numbers, parameters, expressions in brackets, functions (NISTIR 6556, 3.3.2).

use crate::program::number;
use crate::program::number::BadNumber;
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
    /// A bracket that is not closed.
    Unbalanced,
    /// Something else than an operator between two values, or nested too deep.
    BadExpression,
    /// A division by zero.
    DivisionByZero,
    /// A function without result for its argument.
    BadArgument,
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
        let value = self.nested(|e| e.chain(1))?;
        match self.peek() {
            Some(b']') => {
                self.at += 1;
                Ok(value)
            }
            None => Err(Fault::Unbalanced),
            Some(_) => Err(Fault::BadExpression),
        }
    }

    /// Operators of `rank` and above, equal ranks from the left: 1 sum and logic, 2 product, 3 power.
    fn chain(&mut self, rank: u8) -> Result<f64, Fault> {
        if rank > 3 {
            return self.value();
        }
        let mut left = self.chain(rank + 1)?;
        while let Some(operator) = self.operator() {
            if operator.rank() != rank {
                break;
            }
            self.at += operator.length(&self.text[self.at..]);
            let right = self.chain(rank + 1)?;
            left = operator.apply(left, right)?;
        }
        Ok(left)
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
        let is = |word: &[u8]| spelled(rest, word).is_some();
        if is(b"MOD") {
            Some(Operator::Mod)
        } else if is(b"OR") {
            Some(Operator::Or)
        } else if is(b"XOR") {
            Some(Operator::Xor)
        } else if is(b"AND") {
            Some(Operator::And)
        } else {
            None
        }
    }

    fn function(&mut self) -> Result<f64, Fault> {
        const NAMES: [&[u8]; 13] = [
            b"ABS", b"ACOS", b"ASIN", b"ATAN", b"COS", b"EXP", b"FIX", b"FUP", b"LN", b"ROUND",
            b"SIN", b"SQRT", b"TAN",
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
}

impl Operator {
    fn rank(self) -> u8 {
        match self {
            Self::Power => 3,
            Self::Times | Self::Over | Self::Mod => 2,
            Self::Plus | Self::Minus | Self::Or | Self::Xor | Self::And => 1,
        }
    }

    fn length(self, text: &[u8]) -> usize {
        let word: &[u8] = match self {
            Self::Power => return 2,
            Self::Times | Self::Over | Self::Plus | Self::Minus => return 1,
            Self::Mod => b"MOD",
            Self::Or => b"OR",
            Self::Xor => b"XOR",
            Self::And => b"AND",
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
