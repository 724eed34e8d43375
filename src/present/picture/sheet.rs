//! The sheet: which panels stand under each other, and their headings.

use super::axis::TimeAxis;
use super::drawing::{Anchor, Drawing};
use super::ink::Role;
use super::marks::Mark;
use super::skyline::Bars;
use super::{Options, close_up, gaps, lane, legend, skyline, strip};
use crate::check::Check;
use crate::present::facts::Facts;
use crate::present::numbers::{clock, plain};
use crate::present::wording::{causes, picture as words, verdict};
use crate::timeline::types::ListeningMode;
use crate::units::Instant;

/// Where the picture is to be seen.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Format {
    /// A page or a screen.
    Wide,
    /// A telephone held upright.
    Narrow,
}

impl Format {
    /// Dots across.
    pub const fn width(self) -> f64 {
        match self {
            Self::Wide => 900.0,
            Self::Narrow => 360.0,
        }
    }

    /// Room at the left and at the right.
    pub const fn margins(self) -> (f64, f64) {
        match self {
            Self::Wide => (60.0, 18.0),
            Self::Narrow => (50.0, 8.0),
        }
    }
}

/// How much wider bold letters run.
const BOLD: f64 = 1.16;

/// Rough width of a text in dots; faces differ, so it is on the wide side.
#[must_use]
pub fn text_px(text: &str, size: f64) -> f64 {
    text.chars().count() as f64 * size * 0.56
}

/// Draws everything.
#[must_use]
pub fn draw(check: &Check, options: Options) -> Drawing {
    let width = options.format.width();
    let theme = options.with_style.then_some(options.theme);
    let mut sheet = Sheet {
        drawing: Drawing::new(width, options.id, theme),
        check,
        facts: Facts::of(check),
        margins: options.format.margins(),
        y: 0.0,
    };
    sheet.head(options.with_head);
    let marks = sheet.over_time();
    sheet.by_cycle(marks);
    sheet.drawing.height = sheet.y + 8.0;
    sheet.drawing
}

struct Sheet<'a> {
    drawing: Drawing,
    check: &'a Check,
    facts: Facts,
    margins: (f64, f64),
    y: f64,
}

impl Sheet<'_> {
    fn left(&self) -> f64 {
        self.margins.0
    }

    fn right(&self) -> f64 {
        self.drawing.width - self.margins.1
    }

    /// Lines of text that fit between the outer edges.
    fn lines(&mut self, role: Role, size: f64, text: &str) {
        let room = self.drawing.width - 2.0 * self.margins.1;
        let bold = matches!(role, Role::Headline | Role::Heading);
        let wide = if bold { size * BOLD } else { size };
        let mut line = String::new();
        for word in text.split(' ') {
            if !line.is_empty() && text_px(&line, wide) + text_px(word, wide) > room {
                self.one_line(role, size, &std::mem::take(&mut line));
            }
            if !line.is_empty() {
                line.push(' ');
            }
            line += word;
        }
        self.one_line(role, size, &line);
    }

    fn one_line(&mut self, role: Role, size: f64, text: &str) {
        self.y += size * 1.36;
        self.drawing
            .text(role, (self.margins.1, self.y), Anchor::Start, text);
    }

    fn heading(&mut self, text: &str) {
        self.y += 10.0;
        self.lines(Role::Heading, 12.0, text);
        self.y += 8.0;
    }

    fn remark(&mut self, text: &str) {
        self.y += 4.0;
        self.lines(Role::Soft, 11.0, text);
        self.y += 4.0;
    }

    fn head(&mut self, visible: bool) {
        let judged = &self.check.verdict;
        let headline = causes::headline(judged.label);
        let sure = format!(
            "{}; {}",
            causes::trade_word(judged.label),
            verdict::certainty(judged)
        );
        let beat = plain(&words::beat_line(&self.facts));
        self.drawing
            .describe(headline, &format!("{}. {beat}", plain(&sure)));
        if !visible {
            return;
        }
        self.y = 6.0;
        self.lines(Role::Headline, 17.0, headline);
        self.y += 3.0;
        self.lines(
            Role::Label,
            11.5,
            &format!("{}. {beat}", first_upper(&plain(&sure))),
        );
    }

    /// Loudness, pitch, carrier, and a close-up where one is needed. Returns the marks drawn.
    fn over_time(&mut self) -> Vec<Mark> {
        let end = self.check.recording.duration.get();
        let end = if end.is_finite() && end > 0.0 {
            end
        } else {
            1.0
        };
        let whole = TimeAxis {
            t0: 0.0,
            t1: end,
            x0: self.left(),
            x1: self.right(),
        };
        let area_top = self.y + 10.0;
        if self.check.strip.columns.is_empty() {
            self.remark(words::NO_STRIP);
        } else {
            self.heading(words::LOUDNESS);
            strip::loudness(&mut self.drawing, &whole, &self.check.strip, self.y);
            self.y += strip::LOUDNESS_PX;
            self.heading(words::PITCH);
            strip::pitch(&mut self.drawing, &whole, &self.check.strip, self.y);
            self.y += strip::PITCH_PX;
        }
        self.heading(match self.facts.mode {
            ListeningMode::BurstsOnly => words::CARRIER_INFERRED,
            ListeningMode::NoGaps => words::CARRIER_CUT,
            _ => words::CARRIER,
        });
        if self.check.verdict.episodes.len() > 1 {
            lane::episodes(&mut self.drawing, &whole, self.check, self.y);
            self.y += lane::EPISODES_PX - 4.0;
        }
        let shown = lane::draw(&mut self.drawing, &whole, self.check, self.y);
        self.y += lane::LANE_PX;
        whole.draw(&mut self.drawing, self.y);
        self.seek_area(&whole, area_top);
        self.y += 20.0;
        if shown.as_share {
            self.remark(words::AS_SHARE);
        }
        let mut marks = shown.marks;
        if let Some(window) = close_up::window(self.check, &whole) {
            let (from, to) = (clock(Instant(window.t0)), clock(Instant(window.t1)));
            self.heading(&format!("{} {from} to {to}", words::CLOSE_UP));
            let top = self.y;
            let more = lane::draw(&mut self.drawing, &window, self.check, self.y);
            self.y += lane::LANE_PX;
            window.draw(&mut self.drawing, self.y);
            self.seek_area(&window, top);
            self.y += 20.0;
            marks.extend(more.marks);
        }
        marks.sort_unstable();
        marks.dedup();
        marks
    }

    fn seek_area(&mut self, axis: &TimeAxis, top: f64) {
        let size = (axis.x1 - axis.x0, self.y - top);
        self.drawing
            .seek_area((axis.x0, top), size, axis.t0, axis.t1);
    }

    /// The skyline, the silences, the legend.
    fn by_cycle(&mut self, marks: Vec<Mark>) {
        let bars = Bars::of(self.check, self.left(), self.right());
        if bars.list.is_empty() {
            self.heading(words::CYCLES);
            self.remark(words::NO_DROPS);
        } else {
            self.heading(&words::cycles_heading(
                &bars.list,
                bars.per_bar,
                bars.only_episode,
            ));
            self.y += 4.0;
            let period = self.facts.beat();
            skyline::draw(&mut self.drawing, &bars, period, self.y);
            self.y += skyline::SKYLINE_PX;
            self.remark(words::how_to_read(bars.list.len(), self.facts.mode));
            self.heading(words::SILENCES);
            if gaps::draw(&mut self.drawing, &bars, self.y) {
                self.y += gaps::GAPS_PX + 6.0;
            } else {
                self.remark(words::no_silence(self.facts.mode));
            }
        }
        let span = (self.margins.1, self.right());
        let beat = self.facts.beat().is_some() && !bars.list.is_empty();
        self.y = legend::draw(&mut self.drawing, &marks, &bars, beat, span, self.y + 6.0);
    }
}

fn first_upper(text: &str) -> String {
    let mut chars = text.chars();
    match chars.next() {
        Some(first) => first.to_uppercase().chain(chars).collect(),
        None => String::new(),
    }
}
