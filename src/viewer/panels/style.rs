//! How egui's own widgets look, from the theme; and the few building blocks panels share.

use super::View;
use crate::viewer::theme::{Palette, TextSizes};
use egui::{
    Color32, CornerRadius, FontData, FontDefinitions, FontFamily, FontId, RichText, Stroke,
    TextStyle,
};
use std::sync::Arc;

/// The heavier face.
#[must_use]
pub fn strong() -> FontFamily {
    FontFamily::Name("strong".into())
}

/// Puts the program's own typeface in front of egui's, which keeps what it lacks: signs, arrows.
/// It is there from the next pass on: nothing may be drawn in [`strong`] before.
pub fn set_fonts(ctx: &egui::Context) {
    let mut fonts = FontDefinitions::default();
    let faces: [(&str, &'static [u8]); 2] = [
        ("regular", include_bytes!("../../../assets/fonts/Inter-Regular.otf")),
        ("semi-bold", include_bytes!("../../../assets/fonts/Inter-SemiBold.otf")),
    ];
    for (name, bytes) in faces {
        fonts.font_data.insert(name.to_owned(), Arc::new(FontData::from_static(bytes)));
    }
    let proportional = fonts.families.entry(FontFamily::Proportional).or_default();
    let behind = proportional.clone();
    proportional.insert(0, "regular".to_owned());
    let mut heavier = vec!["semi-bold".to_owned()];
    heavier.extend(behind);
    fonts.families.insert(strong(), heavier);
    ctx.set_fonts(fonts);
}

/// How much larger what is read from the back of a room is on a projector.
pub const LARGE: f32 = 1.4;

/// Has every letter drawn once in the sizes in use. A letter that is new to the picture of all
/// letters is missing from the very frame that asks for it.
pub fn warm(ctx: &egui::Context, text: &TextSizes) {
    let letters = letters();
    let own = [text.small, text.body, text.heading, text.title, text.title * 1.2];
    let large = [text.small, text.body, text.title].map(|size| size * LARGE);
    let sizes = own.into_iter().chain(large);
    ctx.fonts_mut(|fonts| {
        for size in sizes {
            for family in [FontFamily::Proportional, strong()] {
                let font = FontId::new(size, family);
                fonts.layout_no_wrap(letters.clone(), font, Color32::WHITE);
            }
        }
        let font = FontId::new(text.small, FontFamily::Monospace);
        fonts.layout_no_wrap(letters.clone(), font, Color32::WHITE);
    });
}

/// As [`warm`], for what is only written small.
pub fn warm_small(ctx: &egui::Context, text: &TextSizes) {
    let font = FontId::proportional(text.small);
    ctx.fonts_mut(|fonts| fonts.layout_no_wrap(letters(), font, Color32::WHITE));
}

fn letters() -> String {
    let letters: String = (' '..='~').chain("°±×–·…’✔✖■▲▶◀⏷⏵⏸☐☑⚑←→".chars()).collect();
    // A letter is drawn anew for each of a few places between two pixels: several runs meet most.
    letters.repeat(3)
}

/// Sets text sizes and colours of a context. Cheap enough to call on change only.
pub fn apply(ctx: &egui::Context, palette: &Palette, text: &TextSizes) {
    ctx.set_theme(if palette.dark_mode { egui::Theme::Dark } else { egui::Theme::Light });
    let size = |s: f32| FontId::new(s, FontFamily::Proportional);
    ctx.all_styles_mut(|style| {
        style.text_styles = [
            (TextStyle::Small, size(text.small)),
            (TextStyle::Body, size(text.body)),
            (TextStyle::Button, size(text.body)),
            (TextStyle::Heading, FontId::new(text.heading, strong())),
            (TextStyle::Monospace, FontId::new(text.small, FontFamily::Monospace)),
        ]
        .into();
        style.spacing.item_spacing = egui::vec2(8.0, 6.0);
        style.spacing.button_padding = egui::vec2(9.0, 4.0);
        style.spacing.scroll.floating = true;
        style.interaction.tooltip_delay = 0.4;
        style.animation_time = 0.12;
        let v = &mut style.visuals;
        v.dark_mode = palette.dark_mode;
        v.override_text_color = Some(palette.text.egui());
        v.panel_fill = palette.panel.egui();
        v.window_fill = palette.panel.egui();
        v.window_stroke = Stroke::new(1.0, palette.line.egui());
        v.extreme_bg_color = palette.panel_deep.egui();
        v.faint_bg_color = palette.panel_deep.egui();
        v.hyperlink_color = palette.accent.egui();
        v.selection.bg_fill = palette.accent.faint(0.35);
        v.selection.stroke = Stroke::new(1.0, palette.text.egui());
        v.popup_shadow.color = Color32::from_black_alpha(40);
        v.window_shadow.color = Color32::from_black_alpha(40);
        let radius = CornerRadius::same(5);
        let w = &mut v.widgets;
        for (widget, fill, line) in [
            (&mut w.noninteractive, palette.panel, palette.line),
            // An empty field must be seen on any ground.
            (&mut w.inactive, palette.panel_deep, palette.line.mixed(palette.text, 0.2)),
            (&mut w.hovered, palette.panel_deep.mixed(palette.accent, 0.14), palette.accent),
            (&mut w.active, palette.panel_deep.mixed(palette.accent, 0.3), palette.accent),
            (&mut w.open, palette.panel_deep, palette.accent),
        ] {
            widget.bg_fill = fill.egui();
            widget.weak_bg_fill = fill.egui();
            widget.bg_stroke = Stroke::new(1.0, line.egui());
            widget.fg_stroke = Stroke::new(1.2, palette.text.egui());
            widget.corner_radius = radius;
            widget.expansion = 0.0;
        }
    });
}

/// Softer, smaller text.
#[must_use]
pub fn soft(view: &View<'_>, text: impl Into<String>) -> RichText {
    RichText::new(text).size(view.text.small).color(view.palette.text_soft.egui())
}

/// A row of buttons that may run on in another, with what is written beside them at their middle.
pub fn row(ui: &mut egui::Ui, small: bool, add: impl FnOnce(&mut egui::Ui)) {
    ui.scope(|ui| {
        let style = if small { TextStyle::Small } else { TextStyle::Button };
        let pad = if small { 0.0 } else { 2.0 * ui.spacing().button_padding.y };
        let high = ui.text_style_height(&style) + pad;
        ui.spacing_mut().interact_size.y = high;
        ui.horizontal_wrapped(add);
    });
}

/// A small heading inside a panel.
pub fn heading(ui: &mut egui::Ui, view: &View<'_>, text: &str) {
    ui.add_space(6.0);
    ui.label(
        RichText::new(text)
            .size(view.text.small)
            .family(strong())
            .color(view.palette.accent.egui()),
    );
}

/// A heading that unfolds what is below it; true when it is clicked.
pub fn fold(ui: &mut egui::Ui, view: &View<'_>, open: bool, text: &str) -> bool {
    ui.add_space(6.0);
    let sign = if open { "⏷" } else { "⏵" };
    let words = RichText::new(format!("{sign} {text}"))
        .size(view.text.small)
        .family(strong())
        .color(view.palette.accent.egui());
    let response = ui.add(egui::Button::new(words).frame(false));
    response.widget_info(|| {
        egui::WidgetInfo::selected(egui::WidgetType::CollapsingHeader, true, open, text)
    });
    response.clicked()
}

/// A button that shows whether it is on.
pub fn choice(ui: &mut egui::Ui, view: &View<'_>, on: bool, text: &str) -> egui::Response {
    let (fill, ink) = if on {
        (view.palette.accent, view.palette.on_accent)
    } else {
        (view.palette.panel_deep, view.palette.text)
    };
    let button = egui::Button::new(RichText::new(text).color(ink.egui())).fill(fill.egui());
    let response = ui.add(button);
    response.widget_info(|| {
        egui::WidgetInfo::selected(egui::WidgetType::SelectableLabel, true, on, text)
    });
    response
}

/// Rolls what is read by the keyboard, while the arrow keys are its own.
pub fn roll(ui: &egui::Ui, own: bool) {
    let by = ui.input(|i| {
        let pressed = |key| i.num_presses(key) as f32;
        pressed(egui::Key::ArrowUp) - pressed(egui::Key::ArrowDown)
    });
    if own && by != 0.0 {
        ui.scroll_with_delta(egui::vec2(0.0, by * 120.0));
    }
}
