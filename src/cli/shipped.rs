//! Jobs that come with the program: an invented site, to learn on and to try things with.

/// A job whose file is part of the program.
#[derive(Debug)]
pub struct Shipped {
    /// The file's name without its ending.
    pub name: &'static str,
    pub text: &'static str,
}

/// All of them, by name. The files lie in `scenes/`.
pub static SHIPPED: &[Shipped] = &[
    Shipped { name: "deep-beam", text: include_str!("../../scenes/deep-beam.ron") },
    Shipped { name: "faulty-floor", text: include_str!("../../scenes/faulty-floor.ron") },
    Shipped { name: "offset-and-grade", text: include_str!("../../scenes/offset-and-grade.ron") },
    Shipped { name: "pour-order", text: include_str!("../../scenes/pour-order.ron") },
    Shipped { name: "reshored-levels", text: include_str!("../../scenes/reshored-levels.ron") },
    Shipped { name: "slab-edge", text: include_str!("../../scenes/slab-edge.ron") },
    Shipped { name: "sound-floor", text: include_str!("../../scenes/sound-floor.ron") },
    Shipped { name: "spandrel-edge", text: include_str!("../../scenes/spandrel-edge.ron") },
    Shipped { name: "starter-tower", text: include_str!("../../scenes/starter-tower.ron") },
    Shipped { name: "stripped-floor", text: include_str!("../../scenes/stripped-floor.ron") },
    Shipped { name: "tall-lobby", text: include_str!("../../scenes/tall-lobby.ron") },
];

/// The name of the job that is opened when none is named.
pub const DEMO: &str = "faulty-floor";

/// The shipped job of that name, with or without `.ron`.
#[must_use]
pub fn find(name: &str) -> Option<&'static Shipped> {
    let name = name.strip_suffix(".ron").unwrap_or(name);
    SHIPPED.iter().find(|scene| scene.name == name)
}

impl Shipped {
    /// What it shows: the first paragraph of its head comment.
    #[must_use]
    pub fn about(&self) -> String {
        let lines = self.text.lines().map_while(|line| line.strip_prefix("//")).map(str::trim);
        lines.take_while(|line| !line.is_empty()).collect::<Vec<_>>().join(" ")
    }
}
