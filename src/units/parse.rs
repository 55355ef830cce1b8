//! Quantities from text: `10 ft 6 1/2 in`, `6'-2"`, `1.8 m`, `-2.5e3 N`, `24 kN/m³`.

use super::QuantityError;

/// What a kind of quantity is called and which units it takes.
#[derive(Clone, Copy, Debug)]
pub(super) struct Kind {
    pub kind: &'static str,
    pub example: &'static str,
    pub units: &'static [(&'static str, f64)],
}

impl Kind {
    fn names(self) -> String {
        self.units.iter().map(|(name, _)| *name).collect::<Vec<_>>().join(", ")
    }

    pub(super) fn bare(self) -> QuantityError {
        QuantityError::BareNumber { kind: self.kind, units: self.names(), example: self.example }
    }

    fn not_finite(self, text: &str) -> QuantityError {
        QuantityError::NotFinite { text: text.to_owned(), kind: self.kind }
    }

    fn unreadable(self, text: &str) -> QuantityError {
        QuantityError::Unreadable { text: text.to_owned(), kind: self.kind, units: self.names() }
    }
}

/// The SI value of a text. Parts add up and must go from the larger unit to the smaller; a sign
/// in front counts for the whole.
pub(super) fn parse(text: &str, kind: Kind) -> Result<f64, QuantityError> {
    let unreadable = || kind.unreadable(text);
    let plain = plain(text, kind);
    let (sign, mut rest) = match plain.strip_prefix('-') {
        Some(rest) => (-1.0, rest.trim_start()),
        None => (1.0, plain.strip_prefix('+').unwrap_or(&plain).trim_start()),
    };
    let word: String = rest.chars().take_while(|c| c.is_alphabetic()).collect();
    if matches!(word.to_lowercase().as_str(), "inf" | "infinity" | "nan") {
        return Err(kind.not_finite(text));
    }
    if rest.contains(',') {
        return Err(QuantityError::Comma { text: text.to_owned() });
    }
    let mut total = 0.0;
    let mut smallest = f64::INFINITY;
    loop {
        let (number, after) = number(rest).ok_or_else(unreadable)?;
        let after = after.trim_start();
        if after.is_empty() {
            return Err(if smallest.is_infinite() { kind.bare() } else { unreadable() });
        }
        let end = unit_end(after);
        let unit = after[..end].trim_end();
        let factor = kind.units.iter().find(|(name, _)| *name == unit).ok_or_else(unreadable)?.1;
        if factor >= smallest {
            return Err(unreadable());
        }
        smallest = factor;
        total += number * factor;
        rest = after[end..].trim_start();
        if rest.is_empty() {
            break;
        }
    }
    let value = sign * total;
    if value.is_finite() { Ok(value) } else { Err(kind.not_finite(text)) }
}

/// Signs that mean the same written in one way. Marks for feet and inches count for lengths only.
fn plain(text: &str, kind: Kind) -> String {
    let text = text
        .trim()
        .replace('²', "2")
        .replace('³', "3")
        .replace('⁴', "4")
        .replace(['·', '\u{a0}', '\u{202f}'], " ")
        .replace('−', "-");
    if kind.kind != "length" {
        return text;
    }
    let text = text.replace(['′', '’'], "'").replace(['″', '”'], "\"");
    // In `6'-2"` the dash only ties inches to feet.
    text.replace("'-", " ft ")
        .replace("''", " in ")
        .replace('\'', " ft ")
        .replace('"', " in ")
        .trim()
        .to_owned()
}

/// A number at the start, `1_000`, `2.5e-3`, `1/2` or `6 1/2`, and what follows it.
fn number(rest: &str) -> Option<(f64, &str)> {
    let end = digits(rest, |c| c.is_ascii_digit() || c == '.' || c == '_');
    let (mut raw, mut after) = rest.split_at(end);
    let power = after.strip_prefix(['e', 'E']).and_then(|tail| {
        let sign = usize::from(tail.starts_with(['+', '-']));
        let len = digits(&tail[sign..], |c| c.is_ascii_digit());
        (len > 0).then_some(1 + sign + len)
    });
    if let Some(power) = power {
        (raw, after) = rest.split_at(end + power);
    }
    let value: f64 = raw.replace('_', "").parse().ok()?;
    if let Some(tail) = after.strip_prefix('/') {
        let (below, after) = whole(tail)?;
        return (below > 0.0 && value.fract() == 0.0).then_some((value / below, after));
    }
    // "6 1/2": a whole number, a blank, a fraction less than one.
    let tail = after.trim_start();
    if let Some((above, tail)) = whole(tail)
        && let Some(tail) = tail.strip_prefix('/')
    {
        let (below, after) = whole(tail)?;
        let fits = value.fract() == 0.0 && above < below;
        return fits.then_some((value + above / below, after));
    }
    Some((value, after))
}

fn whole(text: &str) -> Option<(f64, &str)> {
    let end = digits(text, |c| c.is_ascii_digit());
    text[..end].parse::<u32>().ok().map(|n| (f64::from(n), &text[end..]))
}

fn digits(text: &str, is: impl Fn(char) -> bool) -> usize {
    text.find(|c| !is(c)).unwrap_or(text.len())
}

/// Where the unit ends: before the next number. A single digit right after a letter, and not
/// before another, belongs to the unit (`m2`, `kN/m3`, but `10ft6in`).
fn unit_end(text: &str) -> usize {
    let mut before = ' ';
    for (i, c) in text.char_indices() {
        let next = text[i + c.len_utf8()..].chars().next();
        let power =
            before.is_alphabetic() && !next.is_some_and(|n| n.is_alphanumeric() || n == '.');
        if c == '.' || c.is_ascii_digit() && !power {
            return i;
        }
        before = c;
    }
    text.len()
}
