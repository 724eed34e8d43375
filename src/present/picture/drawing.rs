//! A drawing as SVG: a few shapes, each with a [`Role`] instead of a colour.

use super::ink::{Role, Theme, style};
use std::fmt::Write;

/// Where a text stands relative to its point.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Anchor {
    /// Begins there.
    Start,
    /// Is centred there.
    Middle,
    /// Ends there.
    End,
}

/// Shapes in the order in which they are painted.
#[derive(Debug, Clone)]
pub struct Drawing {
    /// Width in dots.
    pub width: f64,
    /// Height in dots; may be set when everything is drawn.
    pub height: f64,
    id: &'static str,
    theme: Option<Theme>,
    title: String,
    description: String,
    body: String,
}

/// A number with at most one decimal.
fn num(v: f64) -> String {
    let tenths = (v * 10.0).round();
    if !tenths.is_finite() {
        "0".into()
    } else if tenths % 10.0 == 0.0 {
        format!("{:.0}", tenths / 10.0)
    } else {
        format!("{:.1}", tenths / 10.0)
    }
}

/// Text that is safe between tags and in attributes; characters that XML forbids become U+FFFD.
#[must_use]
pub fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\t' | '\n' | '\r' => out.push(' '),
            c if c < ' ' || c == '\u{fffe}' || c == '\u{ffff}' => out.push('\u{fffd}'),
            c => out.push(c),
        }
    }
    out
}

impl Drawing {
    /// An empty one. `theme` is `None` where the page around it brings the colours.
    #[must_use]
    pub fn new(width: f64, id: &'static str, theme: Option<Theme>) -> Self {
        Self {
            width,
            height: 0.0,
            id,
            theme,
            title: String::new(),
            description: String::new(),
            body: String::new(),
        }
    }

    /// What the drawing shows, for those who cannot see it.
    pub fn describe(&mut self, title: &str, description: &str) {
        self.title = title.into();
        self.description = description.into();
    }

    fn put(&mut self, args: std::fmt::Arguments<'_>) {
        // Writing to a String cannot fail.
        let _ = self.body.write_fmt(args);
        self.body.push('\n');
    }

    /// How a role is painted: by its class, or by a pattern of this drawing.
    fn paint(&self, role: Role) -> String {
        match role.pattern() {
            Some(pattern) => format!(
                "class=\"{}\" fill=\"url(#{}-{pattern})\"",
                role.class(),
                self.id
            ),
            None => format!("class=\"{}\"", role.class()),
        }
    }

    /// A rectangle.
    pub fn rect(&mut self, role: Role, x: f64, y: f64, w: f64, h: f64) {
        let (x, y, w, h, paint) = (
            num(x),
            num(y),
            num(w.max(0.0)),
            num(h.max(0.0)),
            self.paint(role),
        );
        self.put(format_args!(
            "<rect {paint} x=\"{x}\" y=\"{y}\" width=\"{w}\" height=\"{h}\"/>"
        ));
    }

    /// A straight line.
    pub fn line(&mut self, role: Role, (x1, y1): (f64, f64), (x2, y2): (f64, f64)) {
        let (x1, y1, x2, y2, paint) = (num(x1), num(y1), num(x2), num(y2), self.paint(role));
        self.put(format_args!("<path {paint} d=\"M{x1} {y1}L{x2} {y2}\"/>"));
    }

    /// A chain of points, closed where `closed`.
    pub fn polygon(&mut self, role: Role, points: &[(f64, f64)], closed: bool) {
        if points.is_empty() {
            return;
        }
        let mut d = String::new();
        for (i, (x, y)) in points.iter().enumerate() {
            d.push(if i == 0 { 'M' } else { 'L' });
            d += &format!("{} {}", num(*x), num(*y));
        }
        if closed {
            d.push('Z');
        }
        self.path(role, &d);
    }

    /// A path in SVG's own words.
    pub fn path(&mut self, role: Role, d: &str) {
        let paint = self.paint(role);
        self.put(format_args!("<path {paint} d=\"{d}\"/>"));
    }

    /// A circle.
    pub fn circle(&mut self, role: Role, (x, y): (f64, f64), r: f64) {
        let (x, y, r, paint) = (num(x), num(y), num(r), self.paint(role));
        self.put(format_args!(
            "<circle {paint} cx=\"{x}\" cy=\"{y}\" r=\"{r}\"/>"
        ));
    }

    /// A line of text.
    pub fn text(&mut self, role: Role, (x, y): (f64, f64), anchor: Anchor, text: &str) {
        let anchor = match anchor {
            Anchor::Start => "",
            Anchor::Middle => " text-anchor=\"middle\"",
            Anchor::End => " text-anchor=\"end\"",
        };
        let (x, y, paint, text) = (num(x), num(y), self.paint(role), escape(text));
        self.put(format_args!(
            "<text {paint} x=\"{x}\" y=\"{y}\"{anchor}>{text}</text>"
        ));
    }

    /// What follows belongs to one moment of the recording: a click goes there, and a pointer
    /// that rests on it reads `says`.
    pub fn begin_moment(&mut self, t_s: f64, says: Option<&str>) {
        let says = says
            .map(|s| format!("<title>{}</title>", escape(s)))
            .unwrap_or_default();
        self.put(format_args!(
            "<g class=\"tb-moment\" data-t=\"{t_s:.3}\">{says}"
        ));
    }

    /// Ends what `begin_moment` began.
    pub fn end_group(&mut self) {
        self.put(format_args!("</g>"));
    }

    /// An area on which a click goes to the time under the pointer; the playing position is
    /// shown in it.
    pub fn seek_area(&mut self, (x, y): (f64, f64), (w, h): (f64, f64), t0: f64, t1: f64) {
        let (x, y, w, h) = (num(x), num(y), num(w), num(h));
        self.put(format_args!(
            "<rect class=\"tb-seek\" data-t0=\"{t0:.3}\" data-t1=\"{t1:.3}\" x=\"{x}\" y=\"{y}\" \
             width=\"{w}\" height=\"{h}\"/>"
        ));
    }

    /// The whole document.
    #[must_use]
    pub fn to_svg(&self) -> String {
        let (w, h, id) = (num(self.width), num(self.height), self.id);
        let style = self
            .theme
            .map(|t| format!("<style>{}</style>\n", style(t)))
            .unwrap_or_default();
        let (title, description) = (escape(&self.title), escape(&self.description));
        let patterns: String = Role::PATTERNED
            .iter()
            .map(|role| pattern(id, *role))
            .collect();
        format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"tb-drawing\" viewBox=\"0 0 {w} \
             {h}\" width=\"{w}\" height=\"{h}\" role=\"img\" aria-labelledby=\"{id}-title \
             {id}-desc\">\n<title id=\"{id}-title\">{title}</title>\n<desc \
             id=\"{id}-desc\">{description}</desc>\n{style}<defs>\n{patterns}</defs>\n<rect \
             class=\"tb-paper\" width=\"{w}\" height=\"{h}\"/>\n{}</svg>\n",
            self.body
        )
    }
}

/// Slanted lines on a ground, so that the parts differ without colour.
fn pattern(id: &str, role: Role) -> String {
    let Some(name) = role.pattern() else {
        return String::new();
    };
    format!(
        "<pattern id=\"{id}-{name}\" width=\"4\" height=\"4\" patternUnits=\"userSpaceOnUse\" \
         patternTransform=\"rotate(45)\"><rect class=\"tb-{name}-ground\" width=\"4\" \
         height=\"4\"/><rect class=\"tb-{name}-line\" width=\"1.6\" height=\"4\"/></pattern>\n"
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_have_one_decimal_or_none() {
        assert_eq!(
            [num(3.0), num(2.96), num(-0.04), num(f64::NAN)],
            ["3", "3", "-0", "0"]
        );
        assert_eq!(num(12.25), "12.3");
    }

    #[test]
    fn nothing_written_by_others_gets_out_of_its_tag() {
        assert_eq!(
            escape("<b a=\"1\">&\u{7}"),
            "&lt;b a=&quot;1&quot;&gt;&amp;\u{fffd}"
        );
    }
}
