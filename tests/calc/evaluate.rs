//! A pocket calculator for the formulas of a sheet, apart from the program: text and numbers in, a
//! number out.

use std::collections::BTreeMap;

/// Works out a formula with its letters' numbers.
pub fn evaluate(formula: &str, with: &BTreeMap<&str, f64>) -> Result<f64, String> {
    let mut reader = Reader { rest: formula.trim(), with };
    let value = reader.sum()?;
    if reader.rest.is_empty() { Ok(value) } else { Err(format!("left over: {}", reader.rest)) }
}

struct Reader<'a> {
    rest: &'a str,
    with: &'a BTreeMap<&'a str, f64>,
}

impl Reader<'_> {
    fn take(&mut self, c: char) -> bool {
        let found = self.rest.strip_prefix(c);
        if let Some(rest) = found {
            self.rest = rest.trim_start();
        }
        found.is_some()
    }

    fn sum(&mut self) -> Result<f64, String> {
        let mut value = self.product()?;
        loop {
            if self.take('+') {
                value += self.product()?;
            } else if self.take('-') {
                value -= self.product()?;
            } else {
                return Ok(value);
            }
        }
    }

    fn product(&mut self) -> Result<f64, String> {
        let mut value = self.power()?;
        loop {
            if self.take('*') {
                value *= self.power()?;
            } else if self.take('/') {
                value /= self.power()?;
            } else {
                return Ok(value);
            }
        }
    }

    fn power(&mut self) -> Result<f64, String> {
        if self.take('-') {
            return Ok(-self.power()?);
        }
        let base = self.atom()?;
        if self.take('^') { Ok(base.powf(self.power()?)) } else { Ok(base) }
    }

    fn atom(&mut self) -> Result<f64, String> {
        if self.take('(') {
            let value = self.sum()?;
            return if self.take(')') { Ok(value) } else { Err("no closing bracket".to_owned()) };
        }
        let letters = |c: char| c.is_alphanumeric() || c == '_' || c == '.';
        let end = self.rest.find(|c| !letters(c)).unwrap_or(self.rest.len());
        let (word, rest) = self.rest.split_at(end);
        self.rest = rest.trim_start();
        if word.starts_with(|c: char| c.is_ascii_digit()) {
            return word.parse().map_err(|_| format!("no number: {word}"));
        }
        match word {
            "pi" => Ok(std::f64::consts::PI),
            "sqrt" | "min" | "max" => {
                let of = self.arguments()?;
                match (word, of.as_slice()) {
                    ("sqrt", [x]) => Ok(x.sqrt()),
                    ("min", [x, y]) => Ok(x.min(*y)),
                    ("max", [x, y]) => Ok(x.max(*y)),
                    _ => Err(format!("{word} of {} numbers", of.len())),
                }
            }
            _ => self.with.get(word).copied().ok_or_else(|| format!("no number for \"{word}\"")),
        }
    }

    fn arguments(&mut self) -> Result<Vec<f64>, String> {
        if !self.take('(') {
            return Err("no opening bracket".to_owned());
        }
        let mut of = vec![self.sum()?];
        while self.take(',') {
            of.push(self.sum()?);
        }
        if self.take(')') { Ok(of) } else { Err("no closing bracket".to_owned()) }
    }
}

#[test]
fn the_calculator_calculates() {
    let with = BTreeMap::from([("a", 2.0), ("F_y", 3.0)]);
    for (formula, due) in [
        ("1+2*3", 7.0),
        ("2^3*a", 16.0),
        ("-a^2+F_y", -1.0),
        ("min(a,F_y)/max(a,F_y)", 2.0 / 3.0),
        ("sqrt(a*8)-(1-2)", 5.0),
        ("0.5*(1+a)", 1.5),
    ] {
        assert_eq!(evaluate(formula, &with), Ok(due), "{formula}");
    }
    for bad in ["b", "1+", "(1", "min(1)", "1 2"] {
        assert!(evaluate(bad, &with).is_err(), "{bad}");
    }
}
