//! A temperature log of the concrete, in CSV.
//!
//! The first line names the two columns: `hours` after placing or `time` as `2026-03-01 14:30`, and
//! `temperature C` or `temperature F`. Each further line is a reading. Whatever is doubtful, a
//! gap, a reading out of order, a temperature no concrete has, is an error with its line: a strength
//! that releases a slab is not worked out from a log that somebody has to interpret.

use std::fmt;

/// Temperatures in °C outside this are a slip of the pen or a broken sensor.
const BELIEVED: std::ops::RangeInclusive<f64> = -30.0..=90.0;
/// Longest time between readings in hours, in the first two days and after: ASTM C1074, from memory.
const LONGEST_EARLY: f64 = 0.5;
const LONGEST_LATER: f64 = 1.0;
const EARLY: f64 = 48.0;
/// Rounding of written times, in hours.
const SLACK: f64 = 0.02;

/// Readings in order: hours after placing, and °C.
#[derive(Clone, Debug, PartialEq)]
pub struct Log {
    readings: Vec<(f64, f64)>,
    longest: f64,
}

/// Why a log cannot be used.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub struct LogError {
    /// Line of the log, from 1; 0 for the log as a whole.
    pub line: usize,
    pub what: String,
    pub help: &'static str,
}

impl fmt::Display for LogError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.line {
            0 => write!(f, "the temperature log {}", self.what),
            line => write!(f, "the temperature log, line {line}: {}", self.what),
        }
    }
}

fn wrong(line: usize, what: impl Into<String>, help: &'static str) -> LogError {
    LogError { line, what: what.into(), help }
}

const COLUMNS: &str = "write `hours,temperature C`, or `time,temperature F`, as the first line";
const NOTHING_ASSUMED: &str =
    "nothing is assumed in its place: mend the log, or use other evidence";

#[derive(Clone, Copy)]
enum Clock {
    Hours,
    Date,
}

impl Log {
    /// Reads a log. `longest_gap` in hours replaces the intervals of ASTM C1074 (half an hour in
    /// the first two days, an hour later).
    ///
    /// # Errors
    /// The first thing wrong, with its line.
    pub fn read(text: &str, longest_gap: Option<f64>) -> Result<Self, LogError> {
        let mut lines = csv::ReaderBuilder::new()
            .has_headers(false)
            .flexible(true)
            .trim(csv::Trim::All)
            .comment(Some(b'#'))
            .from_reader(text.as_bytes());
        let mut head: Option<(Clock, bool)> = None;
        let mut readings: Vec<(f64, f64, usize)> = Vec::new();
        let mut start = None;
        for record in lines.records() {
            let record = record.map_err(|e| {
                let line = e.position().map_or(0, |p| usize::try_from(p.line()).unwrap_or(0));
                wrong(line, "cannot be read as comma-separated text", COLUMNS)
            })?;
            let line = record.position().map_or(0, |p| usize::try_from(p.line()).unwrap_or(0));
            let [time, temperature] = [record.get(0), record.get(1)].map(|c| c.unwrap_or(""));
            if record.len() != 2 {
                let what = format!("{} columns where two are due", record.len());
                return Err(wrong(line, what, COLUMNS));
            }
            let Some((clock, fahrenheit)) = head else {
                head = Some(columns(time, temperature).ok_or_else(|| {
                    wrong(
                        line,
                        format!("the columns \"{time}\" and \"{temperature}\" are not known"),
                        COLUMNS,
                    )
                })?);
                continue;
            };
            let hours = match clock {
                Clock::Hours => number(time),
                Clock::Date => date_hours(time),
            };
            let hours = hours.ok_or_else(|| {
                wrong(line, format!("\"{time}\" is no time"), "write hours, or 2026-03-01 14:30")
            })?;
            let hours = hours
                - if matches!(clock, Clock::Date) { *start.get_or_insert(hours) } else { 0.0 };
            let degrees = number(temperature).ok_or_else(|| {
                wrong(line, format!("\"{temperature}\" is no temperature"), NOTHING_ASSUMED)
            })?;
            let celsius = if fahrenheit { (degrees - 32.0) / 1.8 } else { degrees };
            if !BELIEVED.contains(&celsius) {
                let what = format!("{temperature} is no temperature of concrete");
                return Err(wrong(
                    line,
                    what,
                    "a broken sensor, or the wrong unit in the first line?",
                ));
            }
            readings.push((hours, celsius, line));
        }
        Self::checked(&readings, longest_gap)
    }

    fn checked(readings: &[(f64, f64, usize)], longest_gap: Option<f64>) -> Result<Self, LogError> {
        let (Some(first), true) = (readings.first(), readings.len() > 1) else {
            return Err(wrong(0, "has fewer than two readings", NOTHING_ASSUMED));
        };
        if first.0.abs() > SLACK {
            let what = format!("begins at {} h, not when the concrete was placed", first.0);
            return Err(wrong(first.2, what, NOTHING_ASSUMED));
        }
        let mut longest: f64 = 0.0;
        for pair in readings.windows(2) {
            let ((before, _, _), (hours, _, line)) = (pair[0], pair[1]);
            if hours == before {
                let what = format!("a second reading at {hours} h");
                return Err(wrong(line, what, NOTHING_ASSUMED));
            }
            if hours < before {
                let what = format!("{hours} h comes after {before} h: the log is out of order");
                return Err(wrong(line, what, "readings go from placing onwards"));
            }
            let due =
                longest_gap.unwrap_or(if before < EARLY { LONGEST_EARLY } else { LONGEST_LATER });
            if hours - before > due + SLACK {
                let what = format!(
                    "a gap from {before} h to {hours} h, where a reading is due every {due} h"
                );
                return Err(wrong(line, what, NOTHING_ASSUMED));
            }
            longest = longest.max(hours - before);
        }
        Ok(Self { readings: readings.iter().map(|r| (r.0, r.1)).collect(), longest })
    }

    /// Hours after placing and °C, in order.
    #[must_use]
    pub fn readings(&self) -> &[(f64, f64)] {
        &self.readings
    }
    /// Hours from placing to the last reading.
    #[must_use]
    pub fn hours(&self) -> f64 {
        self.readings.last().map_or(0.0, |r| r.0)
    }
    /// Longest time between two readings, hours.
    #[must_use]
    pub fn longest_gap(&self) -> f64 {
        self.longest
    }
    /// The coldest reading, °C.
    #[must_use]
    pub fn coldest(&self) -> f64 {
        self.readings.iter().map(|r| r.1).fold(f64::INFINITY, f64::min)
    }
    /// Mean temperature and length in hours of each stretch between readings.
    pub fn stretches(&self) -> impl Iterator<Item = (f64, f64)> + '_ {
        self.readings.windows(2).map(|w| (0.5 * (w[0].1 + w[1].1), w[1].0 - w[0].0))
    }
}

fn columns(time: &str, temperature: &str) -> Option<(Clock, bool)> {
    let clock = match time.to_lowercase().as_str() {
        "hours" | "h" => Clock::Hours,
        "time" | "date" => Clock::Date,
        _ => return None,
    };
    match temperature.to_lowercase().replace(['°', '_'], " ").split_whitespace().collect::<Vec<_>>()
        [..]
    {
        ["temperature", "c"] => Some((clock, false)),
        ["temperature", "f"] => Some((clock, true)),
        _ => None,
    }
}

fn number(text: &str) -> Option<f64> {
    text.parse().ok().filter(|v: &f64| v.is_finite())
}

/// Hours since the first day of the common era, from `2026-03-01 14:30` (or a `T` between).
fn date_hours(text: &str) -> Option<f64> {
    let (date, clock) = text.split_once([' ', 'T'])?;
    let mut parts = date.split('-').map(|p| p.parse::<i64>().ok());
    let (year, month, day) = (parts.next()??, parts.next()??, parts.next()??);
    let mut parts = clock.split(':').map(|p| p.parse::<u32>().ok());
    let (hour, minute) = (parts.next()??, parts.next()??);
    let leap = (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
    let long = [31, if leap { 29 } else { 28 }, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];
    let last = *usize::try_from(month - 1).ok().and_then(|m| long.get(m))?;
    if !(1..=last).contains(&day) || !(1900..=2200).contains(&year) || hour > 23 || minute > 59 {
        return None;
    }
    let past = year - 1;
    let months: i64 = long.iter().take(usize::try_from(month - 1).ok()?).sum();
    let days = past * 365 + past / 4 - past / 100 + past / 400 + months + day;
    Some(days as f64 * 24.0 + f64::from(hour) + f64::from(minute) / 60.0)
}
