//! A calendar day as people write it in records: `2026-03-09`.

use serde::{Deserialize, Deserializer, Serialize, Serializer};
use std::fmt;
use std::str::FromStr;
use std::time::{SystemTime, UNIX_EPOCH};

/// A day of the Gregorian calendar.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Date {
    year: u16,
    month: u8,
    day: u8,
}

/// Why a text is not a day.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("\"{0}\" is not a day: write year, month and day such as 2026-03-09")]
pub struct DateError(String);

impl Date {
    /// The day it is in universal time; none where the clock is out of all reason.
    #[must_use]
    pub fn today() -> Option<Self> {
        let seconds = SystemTime::now().duration_since(UNIX_EPOCH).ok()?.as_secs();
        Self::of_days(seconds / 86_400)
    }

    /// The day so many days after 1970-01-01.
    #[must_use]
    pub fn of_days(mut days: u64) -> Option<Self> {
        let mut year: u16 = 1970;
        loop {
            let length = if leap(year) { 366 } else { 365 };
            if days < length {
                break;
            }
            days -= length;
            year = year.checked_add(1).filter(|y| *y <= 9999)?;
        }
        let mut month: u8 = 1;
        while days >= u64::from(days_in(year, month)) {
            days -= u64::from(days_in(year, month));
            month += 1;
        }
        Some(Self { year, month, day: u8::try_from(days + 1).ok()? })
    }
}

fn leap(year: u16) -> bool {
    year.is_multiple_of(4) && (!year.is_multiple_of(100) || year.is_multiple_of(400))
}

fn days_in(year: u16, month: u8) -> u8 {
    match month {
        4 | 6 | 9 | 11 => 30,
        2 if leap(year) => 29,
        2 => 28,
        _ => 31,
    }
}

impl FromStr for Date {
    type Err = DateError;
    fn from_str(text: &str) -> Result<Self, DateError> {
        let wrong = || DateError(text.to_owned());
        let parts: Vec<&str> = text.split('-').collect();
        let [year, month, day] = parts[..] else { return Err(wrong()) };
        let digits = |part: &str, length: usize| {
            part.len() == length && part.bytes().all(|b| b.is_ascii_digit())
        };
        if !(digits(year, 4) && digits(month, 2) && digits(day, 2)) {
            return Err(wrong());
        }
        let date = Self {
            year: year.parse().map_err(|_| wrong())?,
            month: month.parse().map_err(|_| wrong())?,
            day: day.parse().map_err(|_| wrong())?,
        };
        let fits = (1..=12).contains(&date.month)
            && (1..=days_in(date.year, date.month)).contains(&date.day);
        if fits { Ok(date) } else { Err(wrong()) }
    }
}

impl fmt::Display for Date {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:04}-{:02}-{:02}", self.year, self.month, self.day)
    }
}

impl Serialize for Date {
    fn serialize<S: Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
        s.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for Date {
    fn deserialize<D: Deserializer<'de>>(d: D) -> Result<Self, D::Error> {
        struct Visitor;
        impl serde::de::Visitor<'_> for Visitor {
            type Value = Date;
            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("a day such as \"2026-03-09\"")
            }
            fn visit_str<E: serde::de::Error>(self, text: &str) -> Result<Date, E> {
                text.parse().map_err(E::custom)
            }
        }
        d.deserialize_any(Visitor)
    }
}
