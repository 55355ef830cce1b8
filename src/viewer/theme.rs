//! Colours and sizes, from `assets/theme.ron`. No colour is made anywhere else in the window.

use crate::assembly::Role;
use crate::findings::Severity;
use bevy::prelude::{Color, Resource};
use serde::{Deserialize, Deserializer};

/// A colour as written in the theme file, `"#rrggbb"`, sRGB.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Ink(pub [u8; 3]);

impl Ink {
    /// For the 3D scene.
    #[must_use]
    pub fn bevy(self) -> Color {
        Color::srgb_u8(self.0[0], self.0[1], self.0[2])
    }
    /// For the panels.
    #[must_use]
    pub fn egui(self) -> egui::Color32 {
        egui::Color32::from_rgb(self.0[0], self.0[1], self.0[2])
    }
    /// For the panels, let through by so much (0 to 1).
    #[must_use]
    pub fn faint(self, share: f32) -> egui::Color32 {
        self.egui().gamma_multiply(share)
    }
    /// This colour with a share of another.
    #[must_use]
    pub fn mixed(self, other: Self, share: f32) -> Self {
        let mix = |a: u8, b: u8| {
            (f32::from(a) + (f32::from(b) - f32::from(a)) * share).round().clamp(0.0, 255.0) as u8
        };
        Self([mix(self.0[0], other.0[0]), mix(self.0[1], other.0[1]), mix(self.0[2], other.0[2])])
    }
    /// Relative luminance (WCAG 2.2, definition of relative luminance).
    #[must_use]
    pub fn luminance(self) -> f64 {
        let linear = |c: u8| {
            let c = f64::from(c) / 255.0;
            if c <= 0.04045 { c / 12.92 } else { ((c + 0.055) / 1.055).powf(2.4) }
        };
        0.2126 * linear(self.0[0]) + 0.7152 * linear(self.0[1]) + 0.0722 * linear(self.0[2])
    }
}

impl<'de> Deserialize<'de> for Ink {
    fn deserialize<D: Deserializer<'de>>(d: D) -> Result<Self, D::Error> {
        let text = String::deserialize(d)?;
        let wrong = || serde::de::Error::custom(format!("\"{text}\" is not a colour #rrggbb"));
        let hex = text.strip_prefix('#').filter(|h| h.len() == 6 && h.is_ascii());
        let hex = hex.ok_or_else(wrong)?;
        let byte = |at: usize| u8::from_str_radix(&hex[at..at + 2], 16).map_err(|_| wrong());
        Ok(Self([byte(0)?, byte(2)?, byte(4)?]))
    }
}

/// Text sizes in points.
#[derive(Clone, Copy, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TextSizes {
    pub small: f32,
    pub body: f32,
    pub heading: f32,
    pub title: f32,
}

/// One set of colours. `on_*` is for text on that colour.
#[derive(Clone, Copy, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Palette {
    pub dark_mode: bool,
    pub sky_top: Ink,
    pub sky_bottom: Ink,
    pub ground: Ink,
    pub ground_line: Ink,
    pub panel: Ink,
    pub panel_deep: Ink,
    pub line: Ink,
    pub text: Ink,
    pub text_soft: Ink,
    pub accent: Ink,
    pub on_accent: Ink,
    /// Drawn edges of members, members still to come, and members out of focus.
    pub edge: Ink,
    pub ghost: Ink,
    pub pale: Ink,
    pub step: Ink,
    pub held: Ink,
    pub selected: Ink,
    pub path: Ink,
    pub broken: Ink,
    pub note: Ink,
    pub watch: Ink,
    pub fix_first: Ink,
    pub stop: Ink,
    pub unknown: Ink,
    pub on_note: Ink,
    pub on_watch: Ink,
    pub on_fix_first: Ink,
    pub on_stop: Ink,
    pub on_unknown: Ink,
    /// Stages with nothing found.
    pub calm: Ink,
    pub post: Ink,
    pub ledger: Ink,
    pub joist: Ink,
    pub filler: Ink,
    pub drop_beam: Ink,
    pub brace: Ink,
    pub tie: Ink,
    pub clip: Ink,
    pub sill: Ink,
    pub sheet: Ink,
    pub slab: Ink,
    pub concrete: Ink,
    pub rail: Ink,
    /// Strength of the direct and of the all-round light.
    pub sun: f32,
    pub fill: f32,
}

/// What a finding looks like: its severity, or that it could not be judged.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Grade {
    Note,
    Watch,
    FixFirst,
    /// Could not be judged; ranks with fix first.
    Unknown,
    Stop,
}

impl Grade {
    #[must_use]
    pub fn of(severity: Severity, unknown: bool) -> Self {
        match severity {
            Severity::Stop => Self::Stop,
            _ if unknown => Self::Unknown,
            Severity::FixFirst => Self::FixFirst,
            Severity::Watch => Self::Watch,
            Severity::Note => Self::Note,
        }
    }
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Note => "note",
            Self::Watch => "watch",
            Self::FixFirst => "fix first",
            Self::Unknown => "unknown",
            Self::Stop => "stop",
        }
    }
    pub const ALL: [Self; 5] = [Self::Stop, Self::Unknown, Self::FixFirst, Self::Watch, Self::Note];
}

impl Palette {
    #[must_use]
    pub fn grade(&self, grade: Grade) -> Ink {
        match grade {
            Grade::Note => self.note,
            Grade::Watch => self.watch,
            Grade::FixFirst => self.fix_first,
            Grade::Unknown => self.unknown,
            Grade::Stop => self.stop,
        }
    }
    /// For a sign or text on [`Self::grade`].
    #[must_use]
    pub fn on_grade(&self, grade: Grade) -> Ink {
        match grade {
            Grade::Note => self.on_note,
            Grade::Watch => self.on_watch,
            Grade::FixFirst => self.on_fix_first,
            Grade::Unknown => self.on_unknown,
            Grade::Stop => self.on_stop,
        }
    }
    #[must_use]
    pub fn role(&self, role: Role) -> Ink {
        match role {
            Role::Post | Role::Prop => self.post,
            Role::Ledger => self.ledger,
            Role::Joist => self.joist,
            Role::Filler => self.filler,
            Role::DropBeam => self.drop_beam,
            Role::Brace | Role::PlanBrace => self.brace,
            Role::TieIn => self.tie,
            Role::Clip => self.clip,
            Role::Sill => self.sill,
            Role::Sheet => self.sheet,
        }
    }
}

/// Which set of colours is on.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Look {
    #[default]
    Day,
    Dark,
    /// Black on white, for a projector in a lit room.
    Contrast,
}

impl Look {
    pub const ALL: [Self; 3] = [Self::Day, Self::Dark, Self::Contrast];
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Day => "Day",
            Self::Dark => "Dark",
            Self::Contrast => "Contrast",
        }
    }
}

/// The theme file.
#[derive(Resource, Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Theme {
    pub text: TextSizes,
    pub day: Palette,
    pub dark: Palette,
    pub contrast: Palette,
}

impl Theme {
    /// The theme built into the program.
    ///
    /// # Errors
    /// If the file does not read; a test keeps that from shipping.
    pub fn shipped() -> anyhow::Result<Self> {
        Ok(ron::from_str(include_str!("../../assets/theme.ron"))?)
    }
    #[must_use]
    pub fn palette(&self, look: Look) -> &Palette {
        match look {
            Look::Day => &self.day,
            Look::Dark => &self.dark,
            Look::Contrast => &self.contrast,
        }
    }
}
