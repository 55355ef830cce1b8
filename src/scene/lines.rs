//! Grid lines and what is named from them: line names, positions, points (`C4`), runs (`C4-F4`).

use super::model::{Block, Lines};
use std::collections::{BTreeMap, BTreeSet};

/// More lines than this one way are taken for a slip of the pen.
pub const MOST_LINES: usize = 400;

/// Why grid lines, a point or a run cannot be read.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum LinesError {
    /// Nothing between the quotes.
    #[error(
        "no line names: write a range such as \"A..F\" or \"1..9\", or names such as \"A B C\""
    )]
    Empty,
    /// A range whose ends are neither two letters nor two whole numbers.
    #[error(
        "\"{0}\" is not a range of lines: both ends are one letter (\"A..F\") or whole numbers (\"1..9\")"
    )]
    NotARange(String),
    /// A range that runs backwards.
    #[error("the range \"{0}\" runs backwards: write the lower line first")]
    Backwards(String),
    /// More than [`MOST_LINES`].
    #[error("{0} lines one way; at most {MOST_LINES} are read")]
    TooMany(usize),
    /// A character that has another meaning in member names.
    #[error("a line name may hold letters, digits and _ only, not \"{0}\"")]
    BadName(String),
    #[error("the line name \"{0}\" is there twice")]
    Twice(String),
    #[error("spacings are missing: write `every` for one spacing, or `bays` for one a bay")]
    NoSpacing,
    #[error("`every` and `bays` are both there: keep one of them")]
    BothSpacings,
    #[error("{lines} lines have {due} bays, but `bays` lists {found}")]
    BayCount { lines: usize, due: usize, found: usize },
    /// A spacing that is zero, negative or not finite; its index in `bays`, none for `every`.
    #[error("a bay must be longer than zero")]
    NotPositive(Option<usize>),
    /// Two grid points would carry the same name, as `1`+`11` and `11`+`1`.
    #[error("the grid point name \"{0}\" could be read in two ways: name the lines otherwise")]
    Ambiguous(String),
    #[error("there is no grid point \"{0}\" in this block")]
    NoPoint(String),
    #[error(
        "\"{0}\" is not a run: write two grid points with a dash between them, such as \"C4-F4\""
    )]
    NotARun(String),
    #[error("the run \"{0}\" starts and ends at the same grid point")]
    NoLength(String),
    #[error("\"{0}\" runs across the grid: both ends of this run must lie on one line")]
    Slanted(String),
    #[error("\"{0}\" has both ends on one line: opposite corners are due")]
    NoArea(String),
}

impl Lines {
    /// Line names in order: `"A..F"` and `"1..9"` are ranges, anything else a list of names.
    ///
    /// # Errors
    /// When the text is empty, a range cannot be read, a name is there twice or is not a name.
    pub fn names(&self) -> Result<Vec<String>, LinesError> {
        let mut names = Vec::new();
        for word in self.lines.split([' ', ',', '\t', '\n', '\r']).filter(|w| !w.is_empty()) {
            match word.split_once("..") {
                Some((first, last)) => range(word, first, last, &mut names)?,
                None => names.push(word.to_owned()),
            }
            if names.len() > MOST_LINES {
                return Err(LinesError::TooMany(names.len()));
            }
        }
        if names.is_empty() {
            return Err(LinesError::Empty);
        }
        let mut seen = BTreeSet::new();
        for name in &names {
            if !name.chars().all(|c| c.is_alphanumeric() || c == '_') {
                return Err(LinesError::BadName(name.clone()));
            }
            if !seen.insert(name) {
                return Err(LinesError::Twice(name.clone()));
            }
        }
        Ok(names)
    }

    /// Bay lengths in metres, one fewer than there are lines; a single line has no bay.
    ///
    /// # Errors
    /// When the lines cannot be read, or the spacings are missing, too few, too many or not
    /// longer than zero.
    pub fn spacings(&self) -> Result<Vec<f64>, LinesError> {
        let due = self.names()?.len() - 1;
        let bays = match (self.every, self.bays.is_empty()) {
            (None, true) if due > 0 => return Err(LinesError::NoSpacing),
            (Some(_), false) => return Err(LinesError::BothSpacings),
            (Some(every), true) => vec![every.si(); due],
            (None, _) => self.bays.iter().map(|b| b.si()).collect(),
        };
        if let Some(bad) = bays.iter().position(|b| !(b.is_finite() && *b > 0.0)) {
            return Err(LinesError::NotPositive(self.every.is_none().then_some(bad)));
        }
        if bays.len() != due {
            return Err(LinesError::BayCount { lines: due + 1, due, found: bays.len() });
        }
        Ok(bays)
    }

    /// Distances of the lines from the first, in metres; empty where [`Lines::spacings`] is an
    /// error, which a scene that was read without problems never has.
    #[must_use]
    pub fn positions(&self) -> Vec<f64> {
        let Ok(bays) = self.spacings() else { return Vec::new() };
        std::iter::once(0.0)
            .chain(bays.iter().scan(0.0, |at, bay| {
                *at += bay;
                Some(*at)
            }))
            .collect()
    }
}

/// `A..F` or `1..9`, both ends included.
fn range(word: &str, first: &str, last: &str, names: &mut Vec<String>) -> Result<(), LinesError> {
    let letter = |text: &str| {
        let mut chars = text.chars();
        chars.next().filter(|c| c.is_ascii_alphabetic() && chars.next().is_none())
    };
    if let (Some(a), Some(b)) = (letter(first), letter(last)) {
        if a.is_ascii_uppercase() != b.is_ascii_uppercase() {
            return Err(LinesError::NotARange(word.to_owned()));
        }
        if a > b {
            return Err(LinesError::Backwards(word.to_owned()));
        }
        names.extend((a..=b).map(String::from));
        return Ok(());
    }
    let whole = |text: &str| {
        let digits = !text.is_empty() && text.chars().all(|c| c.is_ascii_digit());
        digits.then(|| text.parse::<usize>().ok()).flatten()
    };
    let (Some(a), Some(b)) = (whole(first), whole(last)) else {
        return Err(LinesError::NotARange(word.to_owned()));
    };
    if a > b {
        return Err(LinesError::Backwards(word.to_owned()));
    }
    if b - a >= MOST_LINES {
        return Err(LinesError::TooMany((b - a).saturating_add(1)));
    }
    names.extend((a..=b).map(|n| n.to_string()));
    Ok(())
}

/// A grid point: indices of its x-line and y-line.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct GridPoint {
    pub x: usize,
    pub y: usize,
}

/// The line names of a block, and its grid points by name.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Grid {
    pub x: Vec<String>,
    pub y: Vec<String>,
    points: BTreeMap<String, GridPoint>,
}

impl Grid {
    /// The grid of a block.
    ///
    /// # Errors
    /// As [`Grid::new`] and [`Lines::names`].
    pub fn of(block: &Block) -> Result<Self, LinesError> {
        Self::new(block.x.names()?, block.y.names()?)
    }

    /// From the names of the x-lines and y-lines.
    ///
    /// # Errors
    /// When two grid points would have the same name.
    pub fn new(x: Vec<String>, y: Vec<String>) -> Result<Self, LinesError> {
        let mut points = BTreeMap::new();
        for (i, along) in x.iter().enumerate() {
            for (j, across) in y.iter().enumerate() {
                let name = format!("{along}{across}");
                if points.insert(name.clone(), GridPoint { x: i, y: j }).is_some() {
                    return Err(LinesError::Ambiguous(name));
                }
            }
        }
        Ok(Self { x, y, points })
    }

    /// The point called `C4`. Names are looked up whole, so `AA10` is never cut wrongly.
    ///
    /// # Errors
    /// When the block has no such point.
    pub fn point(&self, name: &str) -> Result<GridPoint, LinesError> {
        self.points.get(name.trim()).copied().ok_or_else(|| LinesError::NoPoint(name.to_owned()))
    }

    /// The name of a point; none outside the grid.
    #[must_use]
    pub fn name(&self, point: GridPoint) -> Option<String> {
        Some(format!("{}{}", self.x.get(point.x)?, self.y.get(point.y)?))
    }

    /// All grid point names, sorted.
    pub fn names(&self) -> impl Iterator<Item = &str> {
        self.points.keys().map(String::as_str)
    }

    /// Two different grid points with a dash between them, `"C4-F4"`, as written.
    ///
    /// # Errors
    /// When it is not two points of this block, or twice the same.
    pub fn run(&self, text: &str) -> Result<(GridPoint, GridPoint), LinesError> {
        let (from, to) =
            text.split_once('-').ok_or_else(|| LinesError::NotARun(text.to_owned()))?;
        let (from, to) = (self.point(from)?, self.point(to)?);
        if from == to {
            return Err(LinesError::NoLength(text.to_owned()));
        }
        Ok((from, to))
    }

    /// A run along one line; the lower end first.
    ///
    /// # Errors
    /// As [`Grid::run`], and when the ends are not on one line.
    pub fn straight(&self, text: &str) -> Result<(GridPoint, GridPoint), LinesError> {
        let (a, b) = self.run(text)?;
        if a.x != b.x && a.y != b.y {
            return Err(LinesError::Slanted(text.to_owned()));
        }
        Ok((a.min(b), a.max(b)))
    }

    /// One grid point, a run or a rectangle; lowest corner first, highest second.
    ///
    /// # Errors
    /// As [`Grid::run`].
    pub fn part(&self, text: &str) -> Result<(GridPoint, GridPoint), LinesError> {
        let (a, b) = match (self.point(text), text.contains('-')) {
            (Ok(point), _) => (point, point),
            (Err(error), false) => return Err(error),
            (Err(_), true) => self.run(text)?,
        };
        Ok((
            GridPoint { x: a.x.min(b.x), y: a.y.min(b.y) },
            GridPoint { x: a.x.max(b.x), y: a.y.max(b.y) },
        ))
    }

    /// A rectangle from two opposite corners; lowest corner first, highest second.
    ///
    /// # Errors
    /// As [`Grid::run`], and when both corners are on one line.
    pub fn area(&self, text: &str) -> Result<(GridPoint, GridPoint), LinesError> {
        let (a, b) = self.run(text)?;
        if a.x == b.x || a.y == b.y {
            return Err(LinesError::NoArea(text.to_owned()));
        }
        Ok((
            GridPoint { x: a.x.min(b.x), y: a.y.min(b.y) },
            GridPoint { x: a.x.max(b.x), y: a.y.max(b.y) },
        ))
    }
}

/// `"C4-F4"` as the two grid point names in it, given a block's line names.
///
/// # Errors
/// As [`Grid::run`].
pub fn grid_run(text: &str, x: &[String], y: &[String]) -> Result<(String, String), LinesError> {
    let grid = Grid::new(x.to_vec(), y.to_vec())?;
    let (from, to) = grid.run(text)?;
    let name = |p| grid.name(p).ok_or_else(|| LinesError::NotARun(text.to_owned()));
    Ok((name(from)?, name(to)?))
}
