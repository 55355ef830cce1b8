//! The data files that ship inside the program.

/// A kind of data file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Shipped {
    Equipment,
    Criteria,
}

/// Equipment libraries that ship, by name.
pub const EQUIPMENT: &[(&str, &str)] =
    &[("sample", include_str!("../../../assets/equipment/sample.ron"))];

/// Criteria packs and options that ship, by name.
pub const CRITERIA: &[(&str, &str)] = &[
    ("california", include_str!("../../../assets/criteria/california.ron")),
    ("em-385", include_str!("../../../assets/criteria/em-385.ron")),
    ("eu", include_str!("../../../assets/criteria/eu.ron")),
    ("new-york-city", include_str!("../../../assets/criteria/new-york-city.ron")),
    ("new-york-state", include_str!("../../../assets/criteria/new-york-state.ron")),
    ("uk", include_str!("../../../assets/criteria/uk.ron")),
    ("uk-eu", include_str!("../../../assets/criteria/uk-eu.ron")),
    ("us", include_str!("../../../assets/criteria/us.ron")),
    ("washington", include_str!("../../../assets/criteria/washington.ron")),
];

impl Shipped {
    fn files(self) -> &'static [(&'static str, &'static str)] {
        match self {
            Self::Equipment => EQUIPMENT,
            Self::Criteria => CRITERIA,
        }
    }

    /// The text of a shipped file.
    #[must_use]
    pub fn text(self, name: &str) -> Option<&'static str> {
        self.files().iter().find(|(n, _)| *n == name).map(|&(_, text)| text)
    }

    /// Names that ship.
    pub fn names(self) -> impl Iterator<Item = &'static str> {
        self.files().iter().map(|&(name, _)| name)
    }

    /// Folder under `assets`.
    #[must_use]
    pub fn folder(self) -> &'static str {
        match self {
            Self::Equipment => "equipment",
            Self::Criteria => "criteria",
        }
    }

    pub(super) fn words(self) -> &'static str {
        match self {
            Self::Equipment => "the equipment library",
            Self::Criteria => "the criteria pack",
        }
    }
}
