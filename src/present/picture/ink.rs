//! Roles of shapes and their colours, light and dark.

/// Which colours.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Theme {
    /// As the reader's screen is set.
    Auto,
    /// Dark ink on light paper.
    Light,
    /// Light ink on dark paper.
    Dark,
}

/// What a shape stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Role {
    /// The line above everything else.
    Headline,
    /// Heading of a panel.
    Heading,
    /// Ordinary text.
    Label,
    /// Text of axes and remarks.
    Soft,
    /// Thin lines behind.
    Grid,
    /// Lines of axes.
    Axis,
    /// Loudest moments.
    Peak,
    /// Mean loudness.
    Mean,
    /// Strength of a pitch, 1 to 5.
    Pitch(u8),
    /// From key-up to the first loss of the user.
    Blip,
    /// Between the first and the last loss.
    Between,
    /// From the last loss to the drop.
    Tail,
    /// Carrier whose parts are not known.
    Carrier,
    /// Carrier that is inferred, not heard.
    Inferred,
    /// Silence before it came straight back.
    Gap,
    /// The same where bars are too thin for an outline.
    GapThin,
    /// A mark that is filled.
    Mark,
    /// A mark that is only outlined.
    HollowMark,
    /// A cut or a break.
    Cut,
    /// The middle value.
    Median,
    /// The range of silences that circuits leave.
    Band,
    /// A stretch of the recording.
    Episode,
    /// Time that was heard and held nothing.
    Heard,
    /// Time that was recorded in vain.
    Useless,
    /// Time with self-desense, 1 to 3: little to much.
    Trouble(u8),
}

impl Role {
    /// Roles that are painted by a pattern.
    pub const PATTERNED: [Self; 2] = [Self::Blip, Self::Between];

    /// Name of the pattern.
    #[must_use]
    pub const fn pattern(self) -> Option<&'static str> {
        match self {
            Self::Blip => Some("blip"),
            Self::Between => Some("between"),
            _ => None,
        }
    }

    /// Name in the style sheet.
    #[must_use]
    pub const fn class(self) -> &'static str {
        match self {
            Self::Headline => "tb-headline",
            Self::Heading => "tb-heading",
            Self::Label => "tb-label",
            Self::Soft => "tb-soft",
            Self::Grid => "tb-grid",
            Self::Axis => "tb-axis",
            Self::Peak => "tb-peak",
            Self::Mean => "tb-mean",
            Self::Pitch(1) => "tb-pitch tb-p1",
            Self::Pitch(2) => "tb-pitch tb-p2",
            Self::Pitch(3) => "tb-pitch tb-p3",
            Self::Pitch(4) => "tb-pitch tb-p4",
            Self::Pitch(_) => "tb-pitch tb-p5",
            Self::Blip => "tb-blip",
            Self::Between => "tb-between",
            Self::Tail => "tb-tail",
            Self::Carrier => "tb-carrier",
            Self::Inferred => "tb-inferred",
            Self::Gap => "tb-gap",
            Self::GapThin => "tb-gap-thin",
            Self::Mark => "tb-mark",
            Self::HollowMark => "tb-hollow",
            Self::Cut => "tb-cut",
            Self::Median => "tb-median",
            Self::Band => "tb-band",
            Self::Episode => "tb-episode",
            Self::Heard => "tb-heard",
            Self::Useless => "tb-useless",
            Self::Trouble(1) => "tb-t1",
            Self::Trouble(2) => "tb-t2",
            Self::Trouble(_) => "tb-t3",
        }
    }
}

/// Everything but colours.
const SHAPE: &str = include_str!("shape.css");
/// Dark ink on light paper. Contrast of text to paper is 5:1 or more.
const LIGHT: &str = include_str!("light.css");
/// Light ink on dark paper.
const DARK: &str = include_str!("dark.css");

/// The style sheet of a drawing.
#[must_use]
pub fn style(theme: Theme) -> String {
    match theme {
        Theme::Light => format!("{SHAPE}{LIGHT}"),
        Theme::Dark => format!("{SHAPE}{DARK}"),
        Theme::Auto => {
            format!("{SHAPE}{LIGHT}@media screen and (prefers-color-scheme:dark){{\n{DARK}}}\n")
        }
    }
}
