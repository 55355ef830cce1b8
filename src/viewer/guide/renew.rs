//! A walk or a permit goes on over what changed on the disk. What is typed stays; what was shown and
//! cannot be had anew stays too, and it is said that it is from before.

use super::Mode;
use crate::permit::{Asked, window};
use crate::record;
use crate::viewer::state::ViewerState;
use crate::walk;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

impl ViewerState {
    /// Files that the walk or the permit on screen rests on are not as they were.
    pub fn changed_on_disk(&mut self, files: &BTreeSet<PathBuf>) {
        let name =
            |path: &PathBuf| path.file_name().unwrap_or_default().to_string_lossy().into_owned();
        let names: Vec<String> = files.iter().map(name).collect();
        let names = names.join(", ");
        match &self.guide.mode {
            Mode::Off | Mode::Teach(_) => {}
            // What the program wrote itself when it was issued changes nothing.
            Mode::Permit(_) if self.keeps_permit() => self.look_at_permit(),
            Mode::Permit(_) => self.draft_again(&format!("{names} changed on the disk")),
            Mode::Walk(_) => {
                self.look_for_photo();
                self.walk_again(&format!("{names} changed on the disk"));
            }
        }
    }

    /// Drafts the permit anew after a change.
    pub(super) fn draft_again(&mut self, why: &str) {
        self.guide.problem = None;
        self.draft_anew();
        self.guide.news = Some(match self.guide.problem {
            None => format!("{why}: drafted again."),
            Some(_) => format!("{why}. What is below is from before."),
        });
    }

    /// Lays the walk anew over the record as it lies there now, and stays at its station.
    pub(super) fn walk_again(&mut self, why: &str) {
        let Some(review) = self.review.clone() else { return };
        let Mode::Walk(w) = &mut self.guide.mode else { return };
        w.missing_photos = record::missing_photos(&w.record, &w.path);
        let there = w.path.exists();
        let text = std::fs::read_to_string(&w.path).ok();
        let last = review.sequence.stages.len().saturating_sub(1);
        let span = window(&review, w.kind, &Asked::default());
        let span = span.map_or((last, last), |s| (s.from, s.until));
        let own = w.known.is_some() && text == w.known;
        let mut problem = None;
        if !own && there {
            match record::load(&w.path, &review.assembly) {
                Ok(loaded) => {
                    w.known = Some(loaded.source.file_text().to_owned());
                    w.record = loaded.record;
                    w.missing_photos = record::missing_photos(&w.record, &w.path);
                }
                Err(problems) => problem = Some(problems.to_string()),
            }
        } else if !there && w.known.is_some() {
            problem = Some(format!("{} is not there any more", w.path.display()));
        }
        let id = w.walk.stations.get(w.at).map(|s| s.id.clone());
        let before = w.walk.clone();
        w.walk = walk::walk(&review, &w.record, w.kind, span);
        let same = w.walk.stations.iter().position(|s| Some(&s.id) == id.as_ref());
        w.at = same.unwrap_or(w.at).min(w.walk.stations.len().saturating_sub(1));
        let changed = w.walk != before;
        match problem {
            Some(problem) => {
                self.trouble(problem);
                self.guide.news = Some(format!("{why}. The record shown is from before."));
            }
            None if own && !changed => {}
            None => {
                self.guide.problem = None;
                self.guide.news = Some(format!("{why}: the walk shows it as it is now."));
            }
        }
        if changed {
            let _ = self.go_to_station();
        }
    }

    /// Looks for the photo that is typed.
    pub(super) fn look_for_photo(&mut self) {
        let typed = self.guide.fields.photo.trim();
        self.guide.photo = match &self.guide.mode {
            Mode::Walk(w) if !typed.is_empty() => {
                let path = record::photo_path(&w.path, typed);
                let there = path.is_file();
                Some((path, there))
            }
            _ => None,
        };
    }

    /// Writes the page that says that the permit on screen is void.
    pub(super) fn write_void(&mut self) {
        let Mode::Permit(signing) = &mut self.guide.mode else { return };
        let Some(lying) = signing.void() else { return };
        match crate::permit::write_void(&lying.permit, &lying.voids, &lying.path) {
            Ok(page) => {
                signing.written.retain(|there| *there != page);
                signing.written.push(page);
            }
            Err(error) => {
                let path: &Path = &lying.path;
                let problem = format!("{}: the page is not written: {error}", path.display());
                self.trouble(problem);
            }
        }
    }
}
