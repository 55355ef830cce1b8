//! The order of names as a person counts, and names with `*` in them.

use std::cmp::Ordering;

/// Compares names with their numbers as numbers: `A2` before `A10`.
#[must_use]
pub fn natural(a: &str, b: &str) -> Ordering {
    let (mut left, mut right) = (a, b);
    loop {
        let (x, y) = (chunk(left), chunk(right));
        if x.is_empty() || y.is_empty() {
            return x.len().cmp(&y.len()).then_with(|| a.cmp(b));
        }
        let order = match (is_number(x), is_number(y)) {
            (true, true) => {
                let (m, n) = (x.trim_start_matches('0'), y.trim_start_matches('0'));
                m.len().cmp(&n.len()).then_with(|| m.cmp(n))
            }
            _ => x.cmp(y),
        };
        if order != Ordering::Equal {
            return order;
        }
        left = &left[x.len()..];
        right = &right[y.len()..];
    }
}

fn is_number(text: &str) -> bool {
    text.starts_with(|c: char| c.is_ascii_digit())
}

/// The longest start of all digits or of none.
fn chunk(text: &str) -> &str {
    let number = is_number(text);
    let end = text.find(|c: char| c.is_ascii_digit() != number).unwrap_or(text.len());
    &text[..end]
}

/// Whether a name fits a pattern in which `*` stands for any text, also none.
#[must_use]
pub fn fits(pattern: &str, name: &str) -> bool {
    let mut parts = pattern.split('*');
    let Some(mut rest) = parts.next().and_then(|first| name.strip_prefix(first)) else {
        return false;
    };
    let parts: Vec<&str> = parts.collect();
    let Some((last, middle)) = parts.split_last() else {
        return rest.is_empty();
    };
    for part in middle {
        let Some(at) = rest.find(part) else { return false };
        rest = &rest[at + part.len()..];
    }
    rest.ends_with(last)
}
