//! Lessons that come with the program, with their scenes.

/// A lesson whose files are part of the program.
#[derive(Debug)]
pub struct ShippedLesson {
    pub name: &'static str,
    pub text: &'static str,
    /// The scene with the fault, and the same done right.
    pub scenes: [(&'static str, &'static str); 2],
}

macro_rules! lesson {
    ($name:literal) => {
        ShippedLesson {
            name: $name,
            text: include_str!(concat!("../../assets/lessons/", $name, ".ron")),
            scenes: [
                ($name, include_str!(concat!("../../scenes/lessons/", $name, ".ron"))),
                (
                    concat!($name, "-right"),
                    include_str!(concat!("../../scenes/lessons/", $name, "-right.ron")),
                ),
            ],
        }
    };
}

/// In the order in which one learns.
pub static SHIPPED: &[ShippedLesson] = &[
    lesson!("first-tower"),
    lesson!("next-post"),
    lesson!("long-row"),
    lesson!("lock-first"),
    lesson!("the-edge"),
    lesson!("strip-a-bay"),
];

/// The lesson of that name, with or without `.ron`.
#[must_use]
pub fn find(name: &str) -> Option<&'static ShippedLesson> {
    let name = name.strip_suffix(".ron").unwrap_or(name);
    SHIPPED.iter().find(|lesson| lesson.name == name)
}

/// The text of a scene that comes with the lessons.
pub(super) fn scene(name: &str) -> Option<&'static str> {
    let name = name.strip_suffix(".ron").unwrap_or(name);
    let scenes = SHIPPED.iter().flat_map(|lesson| &lesson.scenes);
    scenes.into_iter().find(|(n, _)| *n == name).map(|(_, text)| *text)
}
