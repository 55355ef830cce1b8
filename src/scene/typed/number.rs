//! RON's ways of writing a number.

/// A number as written.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Number {
    Unsigned(u64),
    Signed(i64),
    Float(f64),
}

/// Reads `12`, `-3`, `0x1F`, `1_000`, `2.5e-3`, `-inf`, `NaN`, `7u8`.
pub fn number(raw: &str) -> Option<Number> {
    if let Some(byte) = raw.strip_prefix("b'") {
        return byte.bytes().next().map(|b| Number::Unsigned(b.into()));
    }
    let text = raw.replace('_', "");
    let (sign, digits) = match text.strip_prefix('-') {
        Some(rest) => (true, rest),
        None => (false, text.strip_prefix('+').unwrap_or(&text)),
    };
    let whole = |value: u64| {
        if sign {
            0i64.checked_sub_unsigned(value).map(Number::Signed)
        } else {
            Some(Number::Unsigned(value))
        }
    };
    for (prefix, base) in [("0x", 16), ("0b", 2), ("0o", 8)] {
        if let Some(rest) = digits.strip_prefix(prefix) {
            return whole(u64::from_str_radix(rest, base).ok()?);
        }
    }
    let signed = |value: f64| Some(Number::Float(if sign { -value } else { value }));
    let named = digits.trim_end_matches("f32").trim_end_matches("f64");
    match named {
        "inf" => return signed(f64::INFINITY),
        "NaN" => return signed(f64::NAN),
        _ => {}
    }
    let digits = match digits.find(['i', 'u']) {
        Some(suffix) => &digits[..suffix],
        None => named,
    };
    if digits.len() == named.len() && named.len() < text.trim_start_matches(['-', '+']).len() {
        return signed(digits.parse().ok()?);
    }
    match digits.parse::<u64>() {
        Ok(value) => whole(value),
        Err(_) => signed(digits.parse().ok()?),
    }
}
