//! What of the scene is drawn: kinds of member in full, faded or not at all, and a box that cuts
//! the rest away. What is found about a hidden member is still found; the window says how many
//! are hidden.

use crate::assembly::Role;
use crate::assembly::model::Member;

/// How something is drawn.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Drawn {
    #[default]
    Full,
    Faded,
    Not,
}

/// Kinds of member that are shown or hidden together.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    Posts,
    Beams,
    Fillers,
    Braces,
    Sills,
    Sheets,
}

impl Kind {
    pub const ALL: [Self; 6] =
        [Self::Posts, Self::Beams, Self::Fillers, Self::Braces, Self::Sills, Self::Sheets];

    #[must_use]
    pub fn of(role: Role) -> Self {
        match role {
            Role::Post | Role::Prop => Self::Posts,
            Role::Ledger | Role::Joist | Role::DropBeam => Self::Beams,
            Role::Filler => Self::Fillers,
            Role::Brace | Role::PlanBrace | Role::TieIn | Role::Clip => Self::Braces,
            Role::Sill => Self::Sills,
            Role::Sheet => Self::Sheets,
        }
    }
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Posts => "posts",
            Self::Beams => "ledgers and joists",
            Self::Fillers => "filler joists",
            Self::Braces => "braces, ties, clips",
            Self::Sills => "sills",
            Self::Sheets => "deck sheets",
        }
    }
}

/// A box in scene axes, as shares of what is built: 0 to 1 along x, y and up.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cut {
    pub low: [f64; 3],
    pub high: [f64; 3],
}

impl Default for Cut {
    fn default() -> Self {
        Self { low: [0.0; 3], high: [1.0; 3] }
    }
}

/// What is drawn.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Shown {
    pub kinds: [Drawn; 6],
    /// One block alone.
    pub block: Option<String>,
    pub cut: Cut,
    /// Low and high corner of what is built, scene axes.
    pub bounds: [[f64; 3]; 2],
}

impl Shown {
    /// Takes the corners of what is built from its members.
    pub fn measure(&mut self, members: &[Member]) {
        let mut bounds = [[f64::INFINITY; 3], [f64::NEG_INFINITY; 3]];
        for point in members.iter().flat_map(|m| m.ends) {
            for (k, value) in [point.x, point.y, point.z].into_iter().enumerate() {
                if value.is_finite() {
                    bounds[0][k] = bounds[0][k].min(value);
                    bounds[1][k] = bounds[1][k].max(value);
                }
            }
        }
        self.bounds = if bounds[0][0] <= bounds[1][0] { bounds } else { [[0.0; 3]; 2] };
    }

    /// Everything in full.
    #[must_use]
    pub fn is_all(&self) -> bool {
        self.kinds == [Drawn::Full; 6] && self.block.is_none() && self.cut == Cut::default()
    }

    #[must_use]
    pub fn kind(&self, kind: Kind) -> Drawn {
        self.kinds[kind as usize]
    }

    /// How a member is drawn. One is inside the box where its middle is.
    #[must_use]
    pub fn of(&self, member: &Member) -> Drawn {
        if self.block.is_some() && self.block != member.block {
            return Drawn::Not;
        }
        if self.cut != Cut::default() {
            let middle = nalgebra::center(&member.ends[0], &member.ends[1]);
            for (k, value) in [middle.x, middle.y, middle.z].into_iter().enumerate() {
                let (low, high) = (self.bounds[0][k], self.bounds[1][k]);
                let at = |share: f64| low + (high - low) * share;
                // A hair of room, so that the full box holds all.
                if value < at(self.cut.low[k]) - 1e-6 || value > at(self.cut.high[k]) + 1e-6 {
                    return Drawn::Not;
                }
            }
        }
        self.kind(Kind::of(member.role))
    }
}
