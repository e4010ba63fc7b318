//! SVG text, written so that user text can only ever be text and the same picture is the same bytes.

use std::fmt::Write as _;

/// SVG being written.
#[derive(Default)]
pub(crate) struct Markup {
    text: String,
    open: Vec<&'static str>,
}

/// Attributes of one element; values are escaped when written.
pub(crate) type Attributes<'a> = &'a [(&'static str, &'a str)];

impl Markup {
    /// Begins a picture of a size: an SVG document whose title and description a screen reader tells, by the ids
    /// `NAME-title` and `NAME-description`.
    pub(crate) fn picture(
        name: &str,
        (width, height): (f64, f64),
        text_size: Option<f64>,
        (title, description): (&str, &str),
    ) -> Self {
        let mut svg = Self::default();
        let (width, height) = (coordinate(width), coordinate(height));
        let view_box = format!("0 0 {width} {height}");
        let (title_id, description_id) = (format!("{name}-title"), format!("{name}-description"));
        let labels = format!("{title_id} {description_id}");
        let size = text_size.map(coordinate);
        let mut attributes: Vec<(&'static str, &str)> = vec![
            ("xmlns", "http://www.w3.org/2000/svg"),
            ("viewBox", &view_box),
            ("width", &width),
            ("height", &height),
            ("role", "img"),
            ("aria-labelledby", &labels),
            ("font-family", FONT),
        ];
        attributes.extend(size.as_deref().map(|size| ("font-size", size)));
        attributes.push(("fill", "#111111"));
        svg.open("svg", &attributes);
        svg.text("title", &[("id", &title_id)], title);
        svg.text("desc", &[("id", &description_id)], description);
        svg
    }

    /// White paper of the size of the picture.
    pub(crate) fn paper(&mut self, (width, height): (f64, f64)) {
        self.empty("rect", &[("width", &coordinate(width)), ("height", &coordinate(height)), ("fill", "#ffffff")]);
    }

    /// An element without content.
    pub(crate) fn empty(&mut self, name: &'static str, attributes: Attributes) {
        self.start(name, attributes);
        self.text.push_str("/>\n");
    }

    /// An element that holds plain text.
    pub(crate) fn text(&mut self, name: &'static str, attributes: Attributes, text: &str) {
        self.start(name, attributes);
        self.text.push('>');
        escape_into(&mut self.text, text);
        let _ = writeln!(self.text, "</{name}>");
    }

    /// Opens an element; [`Markup::close`] ends it.
    pub(crate) fn open(&mut self, name: &'static str, attributes: Attributes) {
        self.start(name, attributes);
        self.text.push_str(">\n");
        self.open.push(name);
    }

    /// Ends the element opened last.
    pub(crate) fn close(&mut self) {
        if let Some(name) = self.open.pop() {
            let _ = writeln!(self.text, "</{name}>");
        }
    }

    /// The whole text, every element ended.
    pub(crate) fn finish(mut self) -> String {
        while !self.open.is_empty() {
            self.close();
        }
        self.text
    }

    fn start(&mut self, name: &'static str, attributes: Attributes) {
        let _ = write!(self.text, "<{name}");
        for (key, value) in attributes {
            let _ = write!(self.text, " {key}=\"");
            escape_into(&mut self.text, value);
            self.text.push('"');
        }
    }
}

fn escape_into(out: &mut String, text: &str) {
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\n' | '\t' | '\r' => out.push(' '),
            // XML 1.0 section 2.2 knows no other control characters and no U+FFFE, U+FFFF.
            '\u{0}'..='\u{1f}' | '\u{7f}' | '\u{fffe}' | '\u{ffff}' => out.push('\u{fffd}'),
            _ => out.push(c),
        }
    }
}

/// A coordinate: at most two decimals, never `-0`.
pub(crate) fn coordinate(value: f64) -> String {
    let mut text = format!("{value:.2}");
    while text.ends_with('0') {
        text.pop();
    }
    if text.ends_with('.') {
        text.pop();
    }
    if text == "-0" { "0".to_owned() } else { text }
}

/// Path data through closed rings.
pub(crate) fn rings_path(rings: &[Vec<(f64, f64)>]) -> String {
    let mut path = String::new();
    for ring in rings {
        for (index, (x, y)) in ring.iter().enumerate() {
            let _ = write!(path, "{}{} {}", if index == 0 { "M" } else { "L" }, coordinate(*x), coordinate(*y));
        }
        path.push('Z');
    }
    path
}

/// Path data along an open line.
pub(crate) fn line_path(points: &[(f64, f64)]) -> String {
    let mut path = String::new();
    for (index, (x, y)) in points.iter().enumerate() {
        let _ = write!(path, "{}{} {}", if index == 0 { "M" } else { "L" }, coordinate(*x), coordinate(*y));
    }
    path
}

/// Families in order of wish; the last two are what the printed sheet carries along.
pub(crate) const FONT: &str = "Helvetica, Arial, 'Liberation Sans', 'DejaVu Sans', 'Libertinus Serif', sans-serif";

/// A generous guess at the width of a line of text, so that what fits by it fits in any of [`FONT`].
pub(crate) fn text_width(text: &str, size: f64) -> f64 {
    let ems: f64 = text
        .chars()
        .map(|c| match c {
            'i' | 'j' | 'l' | '\'' | '.' | ',' | ':' | ';' | '|' | '!' => 0.32,
            ' ' | 'f' | 't' | 'r' | '(' | ')' | '-' | '/' | 'I' => 0.4,
            'm' | 'w' | 'M' | 'W' | '%' | '@' => 0.95,
            'A'..='Z' => 0.7,
            '\u{0}'..='\u{24f}' => 0.6,
            // Scripts with wide characters.
            '\u{1100}'..='\u{11ff}' | '\u{2e80}'..='\u{ffef}' | '\u{1f000}'..='\u{3ffff}' => 1.05,
            _ => 0.7,
        })
        .sum();
    ems * size
}

/// The text in lines no wider than `width`; words too long for a line are broken.
pub(crate) fn wrap(text: &str, size: f64, width: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    let mut line = String::new();
    for word in text.split_whitespace() {
        let joined = if line.is_empty() { word.to_owned() } else { format!("{line} {word}") };
        if text_width(&joined, size) <= width {
            line = joined;
            continue;
        }
        if !line.is_empty() {
            lines.push(std::mem::take(&mut line));
        }
        for c in word.chars() {
            line.push(c);
            if text_width(&line, size) > width && line.chars().count() > 1 {
                line.pop();
                lines.push(std::mem::take(&mut line));
                line.push(c);
            }
        }
    }
    if !line.is_empty() {
        lines.push(line);
    }
    lines
}

/// The text cut to a width, with an ellipsis where something is left out.
pub(crate) fn shortened(text: &str, size: f64, width: f64) -> String {
    if text_width(text, size) <= width {
        return text.to_owned();
    }
    let mut short = String::new();
    for c in text.chars() {
        if text_width(&short, size) + 2.0 * size > width {
            break;
        }
        short.push(c);
    }
    short.push('…');
    short
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn user_text_stays_text() {
        let mut svg = Markup::default();
        svg.text("text", &[("class", "a\"b")], "<script>&\u{0}");
        assert_eq!(svg.finish(), "<text class=\"a&quot;b\">&lt;script&gt;&amp;\u{fffd}</text>\n");
    }

    #[test]
    fn coordinates_have_one_spelling() {
        assert_eq!(coordinate(-0.001), "0");
        assert_eq!(coordinate(1.50), "1.5");
        assert_eq!(coordinate(100.0), "100");
    }

    #[test]
    fn every_line_fits_and_nothing_is_lost() {
        let text = "within 25 ft of the creek supercalifragilisticexpialidocious-and-more";
        let lines = wrap(text, 10.0, 90.0);
        assert!(lines.iter().all(|line| text_width(line, 10.0) <= 90.0), "{lines:?}");
        assert_eq!(lines.concat().replace(' ', ""), text.replace(' ', ""));
    }
}
