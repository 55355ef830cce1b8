//! Names that are close to one that does not fit.

/// The closest of the names that fit, if one is close enough to be meant.
#[must_use]
pub fn closest<'a>(name: &str, fitting: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let low = name.to_lowercase();
    let allowed = name.chars().count().div_ceil(3);
    fitting
        .into_iter()
        .map(|other| (strsim::damerau_levenshtein(&low, &other.to_lowercase()), other))
        .filter(|&(distance, other)| distance <= allowed && other != name)
        .min()
        .map(|(_, other)| other)
}

/// A help line: the close name, or else the names that fit, if there are not too many to list.
#[must_use]
pub fn help<'a>(name: &str, fitting: impl IntoIterator<Item = &'a str>) -> Option<String> {
    let mut fitting: Vec<&str> = fitting.into_iter().collect();
    fitting.sort_unstable();
    fitting.dedup();
    if let Some(close) = closest(name, fitting.iter().copied()) {
        return Some(format!("did you mean \"{close}\"?"));
    }
    match fitting.len() {
        0 => None,
        1..=24 => Some(format!("what fits here: {}", fitting.join(", "))),
        n => Some(format!("what fits here: {} and {} more", fitting[..20].join(", "), n - 20)),
    }
}
