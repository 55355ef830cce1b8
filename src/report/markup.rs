//! Pages that also read as XML: every element closed, every text escaped.

use std::fmt::Write as _;

/// Text made safe between tags and inside quoted attributes. Characters that XML has no place for
/// become a replacement character.
#[must_use]
pub fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            '\n' | '\t' => out.push(c),
            c if c.is_control() || matches!(c, '\u{fffe}' | '\u{ffff}') => out.push('\u{fffd}'),
            c => out.push(c),
        }
    }
    out
}

/// A page under construction.
#[derive(Clone, Debug, Default)]
pub struct Markup {
    text: String,
}

impl Markup {
    /// A whole document: its head, a stylesheet, then the body.
    #[must_use]
    pub fn document(title: &str, style: &str, body: &Self) -> String {
        format!(
            "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\"/>\n\
             <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"/>\n\
             <title>{}</title>\n<style>\n{style}</style>\n</head>\n<body>\n{}</body>\n</html>\n",
            escape(title),
            body.text
        )
    }

    /// An element with text in it. `tag` may carry attributes that are known to be safe.
    pub fn element(&mut self, tag: &str, text: &str) -> &mut Self {
        let name = tag.split(' ').next().unwrap_or(tag);
        // Writing to a text cannot fail; the same below.
        let _ = writeln!(self.text, "<{tag}>{}</{name}>", escape(text));
        self
    }

    /// An element with others in it.
    pub fn within(&mut self, tag: &str, fill: impl FnOnce(&mut Self)) -> &mut Self {
        let name = tag.split(' ').next().unwrap_or(tag);
        let _ = writeln!(self.text, "<{tag}>");
        fill(self);
        let _ = writeln!(self.text, "</{name}>");
        self
    }

    /// Markup made elsewhere, already escaped.
    pub fn raw(&mut self, markup: &str) -> &mut Self {
        self.text.push_str(markup);
        self.text.push('\n');
        self
    }

    /// A list of texts; nothing where there are none.
    pub fn list<T: AsRef<str>>(&mut self, items: &[T]) -> &mut Self {
        if items.is_empty() {
            return self;
        }
        self.within("ul", |m| {
            for item in items {
                m.element("li", item.as_ref());
            }
        })
    }

    /// A table with a heading row.
    pub fn table(&mut self, head: &[&str], rows: &[Vec<String>]) -> &mut Self {
        self.within("table", |m| {
            m.within("thead", |m| {
                m.within("tr", |m| {
                    for cell in head {
                        m.element("th", cell);
                    }
                });
            });
            m.within("tbody", |m| {
                for row in rows {
                    m.within("tr", |m| {
                        for cell in row {
                            m.element("td", cell);
                        }
                    });
                }
            });
        })
    }

    /// What was put in so far.
    #[must_use]
    pub fn text(&self) -> &str {
        &self.text
    }
}
