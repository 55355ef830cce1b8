//! Drafting, issuing and watching over a permit: what lies on disk counts, not what is on screen.

use super::{Mode, Signing};
use crate::permit::{self, Asked, Basis, Issuer, Lying, Permit, Picture, Void};
use crate::record::{self, Date, PermitKind};
use crate::viewer::rooms::SHIPPED;
use crate::viewer::state::ViewerState;
use std::path::PathBuf;

impl ViewerState {
    /// A permit of a kind: drafted, and what lies beside the scene from before.
    pub(super) fn begin_permit(&mut self, kind: PermitKind) {
        // Each signs for themselves: a name that was typed for something else is not proposed.
        self.guide.fields.signer.clear();
        let signing = Signing {
            kind,
            permit: None,
            written: Vec::new(),
            lying: None,
            missing_photos: Vec::new(),
        };
        self.guide.mode = Mode::Permit(Box::new(signing));
        self.draft_anew();
    }

    /// Drafts it again, and looks again for what lies beside the scene.
    pub(super) fn draft_anew(&mut self) {
        self.draft();
        let Some(scene) = self.scene_file() else { return };
        if let Mode::Permit(signing) = &mut self.guide.mode {
            let draft = signing.permit.as_ref();
            signing.lying = draft.and_then(|draft| permit::lying_beside(draft, &scene));
        }
        self.miss_photos();
    }

    /// A permit that was issued here stays on screen when its files change: it is now void.
    pub(super) fn keeps_permit(&self) -> bool {
        matches!(&self.guide.mode, Mode::Permit(s) if s.issued().is_some())
    }

    /// Holds the issued permit on screen against its files as they lie there now.
    pub fn look_at_permit(&mut self) {
        let Some(scene) = self.scene_file() else { return };
        let Mode::Permit(signing) = &mut self.guide.mode else { return };
        if let Some(issued) = signing.issued() {
            let mut voids = permit::at_a_glance(issued, &scene, Date::today());
            let path = permit::path_beside(issued, &scene);
            // Its own file is what is shown to others: taken away or altered, it proves nothing.
            let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
            match std::fs::read_to_string(&path).map(|t| serde_json::from_str::<Permit>(&t)) {
                Err(_) => voids.push(Void::Gone(name)),
                Ok(there) if there.as_ref().ok() != Some(issued) => voids.push(Void::SealBroken),
                Ok(_) => {}
            }
            voids.dedup();
            signing.lying = Some(Lying { path, permit: issued.clone(), voids });
        } else if let Some(lying) = &mut signing.lying {
            lying.voids = permit::at_a_glance(&lying.permit, &scene, Date::today());
        }
        self.miss_photos();
    }

    /// Looks which photos of the record are not there.
    fn miss_photos(&mut self) {
        let (Some(review), Some(scene)) = (self.review.clone(), self.scene_file()) else { return };
        let Mode::Permit(signing) = &mut self.guide.mode else { return };
        let path = record::path_beside(&scene);
        let loaded = record::load(&path, &review.assembly);
        signing.missing_photos =
            loaded.map(|l| record::missing_photos(&l.record, &path)).unwrap_or_default();
    }

    /// Drafts from the files as they lie there now. They must say what is on screen.
    fn draft(&mut self) {
        self.with_basis(|basis, kind| Ok(permit::draft(basis, kind, &Asked::default())));
    }

    pub(super) fn issue(&mut self, picture: Option<&[u8]>) {
        let fields = self.guide.fields.clone();
        let until = fields.valid_until.trim();
        let until: Option<Date> = match (until.is_empty(), until.parse()) {
            (true, _) => None,
            (false, Ok(day)) => Some(day),
            (false, Err(error)) => return self.trouble(error),
        };
        let Some(on) = Date::today() else { return self.trouble("the clock gives no day") };
        let issuer = Issuer {
            by: fields.signer,
            role: fields.role,
            on,
            valid_until: until,
            note: fields.note,
        };
        let mut written = Vec::new();
        self.with_basis(|basis, kind| {
            let mut pictures = Vec::new();
            if let Some(bytes) = picture {
                let path = picture_beside(&permit::draft(basis, kind, &Asked::default()), basis);
                pictures.push(Picture { path, bytes: bytes.to_vec() });
            }
            let basis = &Basis { pictures: &pictures, ..*basis };
            let draft = permit::draft(basis, kind, &Asked::default());
            let issued = permit::issue(&draft, &issuer).map_err(|e| e.to_string())?;
            // The picture first: the permit is bound to it.
            for picture in &pictures {
                permit::new_file(&picture.path, &picture.bytes).map_err(|e| e.to_string())?;
            }
            written = permit::write_beside(&issued, basis).map_err(|e| {
                for picture in &pictures {
                    // Nothing refers to it.
                    let _ = std::fs::remove_file(&picture.path);
                }
                e.to_string()
            })?;
            written.extend(pictures.into_iter().map(|p| p.path));
            Ok(issued)
        });
        if let Mode::Permit(signing) = &mut self.guide.mode {
            signing.written = written;
        }
        if self.keeps_permit() {
            self.look_at_permit();
        }
    }

    fn with_basis(&mut self, make: impl FnOnce(&Basis<'_>, PermitKind) -> Result<Permit, String>) {
        let kind = match &self.guide.mode {
            Mode::Permit(signing) => signing.kind,
            _ => return,
        };
        match self.basis_for(|basis| make(basis, kind)) {
            Ok(permit) => {
                if let Mode::Permit(signing) = &mut self.guide.mode {
                    signing.permit = Some(permit);
                }
            }
            Err(problem) => self.trouble(problem),
        }
    }

    fn basis_for<T>(
        &self,
        make: impl FnOnce(&Basis<'_>) -> Result<T, String>,
    ) -> Result<T, String> {
        let (Some(path), Some(review), Some(scene)) = (&self.path, &self.review, self.scene_file())
        else {
            return Err("no scene is open".to_owned());
        };
        let text = path.to_string_lossy();
        let loaded = match text.strip_prefix(SHIPPED).and_then(crate::cli::shipped::find) {
            Some(shipped) => crate::scene::read(shipped.text, path),
            None => crate::scene::load(path),
        };
        let loaded = loaded.map_err(|p| p.to_string())?;
        // As on screen: with the changes made that are kept at the end of the file.
        let files = loaded.files.clone();
        let laid = crate::changes::lay_out(loaded).map_err(|p| p.to_string())?;
        let same = laid.assembly.scene == review.assembly.scene
            && laid.assembly.library == review.assembly.library
            && laid.pack == review.pack
            && laid.changes == review.changes;
        if !same {
            return Err("the files say something else than the picture: read the scene again (F5)"
                .to_owned());
        }
        let record_path = record::path_beside(&scene);
        let kept = match record_path.exists() {
            true => Some(record::load(&record_path, &review.assembly).map_err(|p| p.to_string())?),
            false => None,
        };
        make(&Basis { review, record: kept.as_ref(), files: &files, scene: &scene, pictures: &[] })
    }
}

/// Where the picture of a permit goes: beside its file, under a name that no file has yet.
fn picture_beside(permit: &Permit, basis: &Basis<'_>) -> PathBuf {
    let json = permit::path_beside(permit, basis.scene);
    let named = |k: usize| match k {
        1 => json.with_extension("png"),
        k => json.with_extension(format!("{k}.png")),
    };
    (1..).map(named).find(|path| !path.exists()).unwrap_or_else(|| named(1))
}
