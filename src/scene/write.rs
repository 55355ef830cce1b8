//! A scene as text.

use super::model::Scene;
use super::typed::options;
use ron::ser::PrettyConfig;

/// Writes a scene so that it reads back as an equal one. Quantities are written in SI units with
/// all their digits. Comments are not kept: to change a file a person wrote, patch its text with
/// [`super::edit`].
///
/// # Errors
/// When ron cannot write it, which no scene that was read gives cause for.
pub fn write(scene: &Scene) -> Result<String, ron::Error> {
    let config = PrettyConfig::new().new_line("\n").indentor("    ").compact_arrays(false);
    let mut text = options().to_string_pretty(scene, config)?;
    text.push('\n');
    Ok(text)
}
