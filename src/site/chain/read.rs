//! Site files (TOML).

use super::kinds::Kind;
use super::order::{Tangle, in_order};
use super::station::{Section, Side, Station, TestPrice, TestResult, Trust};
use crate::error::{Error, Result};
use crate::site::tee::read::line_of;
use crate::tuning::site as tuned;
use serde::Deserialize;
use toml::Spanned;

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    name: Option<String>,
    hour_worth: Option<Spanned<f64>>,
    rigger_call: Option<Spanned<f64>>,
    shows: Option<Spanned<f64>>,
    false_alarm: Option<Spanned<f64>>,
    looks: Option<Spanned<u32>>,
    sure_enough: Option<Spanned<f64>>,
    #[serde(default)]
    receive: Vec<Spanned<FileSection>>,
    #[serde(default)]
    transmit: Vec<Spanned<FileSection>>,
    #[serde(default)]
    result: Vec<Spanned<FileResult>>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct FileSection {
    name: Spanned<String>,
    kind: Spanned<String>,
    after: Option<Spanned<String>>,
    weight: Option<Spanned<f64>>,
    test: Option<bool>,
    minutes: Option<Spanned<f64>>,
    money: Option<Spanned<f64>>,
    rigger: Option<bool>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct FileResult {
    load_after: Spanned<String>,
    desense: Spanned<String>,
    looks: Option<Spanned<u32>>,
    date: Option<Date>,
}

#[derive(Debug, Deserialize)]
#[serde(untagged)]
enum Date {
    Moment(toml::value::Datetime),
    Text(String),
}

/// Most sections in both chains together.
const MOST_SECTIONS: usize = 60;
/// Most looks at one test.
const MOST_LOOKS: u32 = 1000;

/// Reads a site file.
///
/// # Errors
/// A key or kind that is not known, a price or weight that cannot be, names used twice or not at
/// all, links that make no row; with the line.
pub fn read(file: &str, text: &str) -> Result<Station> {
    let source = Source { file, text };
    let written: File = toml::from_str(text).map_err(|e| Error::BadSetting {
        place: match e.span() {
            Some(span) => source.place(span.start),
            None => file.to_owned(),
        },
        what: e.message().trim().to_owned(),
        remedy: "compare with a sample site file: [[transmit]] sections with name and kind, \
                 [[receive]] sections, [[result]] entries with load_after and desense"
            .into(),
    })?;
    let mut sections = source.chain(&written.receive, Side::Receive)?;
    sections.extend(source.chain(&written.transmit, Side::Transmit)?);
    source.check_chain(&written, &sections)?;
    let trust = Trust {
        shows: source.share(written.shows.as_ref(), 1.0, "shows", 0.0)?,
        false_alarm: source.share(written.false_alarm.as_ref(), 0.0, "false_alarm", -1.0)?,
    };
    if let Some(late) = written
        .false_alarm
        .as_ref()
        .filter(|f| *f.get_ref() >= trust.shows)
    {
        return Err(source.bad(
            late.span().start,
            "false_alarm is not below shows: such a test tells nothing".into(),
            "false alarms are rarer than true ones",
        ));
    }
    let looks = source.looks(written.looks.as_ref())?;
    let money = |value: Option<&Spanned<f64>>, usual: f64, name: &str| {
        source.not_negative(value, usual, name)
    };
    Ok(Station {
        hour_worth: money(
            written.hour_worth.as_ref(),
            tuned::DEFAULT_HOUR_WORTH,
            "hour_worth",
        )?,
        rigger_call: money(
            written.rigger_call.as_ref(),
            tuned::DEFAULT_RIGGER_CALL,
            "rigger_call",
        )?,
        results: source.results(&written.result, &sections, looks)?,
        sure_enough: source.share(
            written.sure_enough.as_ref(),
            tuned::SURE_ENOUGH,
            "sure_enough",
            0.5,
        )?,
        name: written.name,
        sections,
        trust,
        looks,
    })
}

struct Source<'a> {
    file: &'a str,
    text: &'a str,
}

impl Source<'_> {
    fn place(&self, offset: usize) -> String {
        format!("{} line {}", self.file, line_of(self.text, offset))
    }

    fn bad(&self, offset: usize, what: String, remedy: &str) -> Error {
        Error::BadSetting {
            place: self.place(offset),
            what,
            remedy: remedy.into(),
        }
    }

    fn chain(&self, written: &[Spanned<FileSection>], side: Side) -> Result<Vec<Section>> {
        let names: Vec<&str> = written
            .iter()
            .map(|s| s.get_ref().name.get_ref().as_str())
            .collect();
        let after: Vec<Option<&str>> = written
            .iter()
            .map(|s| {
                s.get_ref()
                    .after
                    .as_ref()
                    .map(|link| link.get_ref().as_str())
            })
            .collect();
        self.no_twins(written.iter())?;
        let order = in_order(&names, &after).map_err(|tangle| self.tangled(written, tangle))?;
        order
            .into_iter()
            .map(|i| self.section(&written[i], side))
            .collect()
    }

    fn no_twins<'s>(&self, all: impl Iterator<Item = &'s Spanned<FileSection>>) -> Result<()> {
        let mut seen: Vec<&str> = Vec::new();
        for section in all {
            let name = &section.get_ref().name;
            if name.get_ref().trim().is_empty() {
                return Err(self.bad(
                    name.span().start,
                    "a section has no name".into(),
                    "give every section a name of its own",
                ));
            }
            if seen
                .iter()
                .any(|other| other.eq_ignore_ascii_case(name.get_ref()))
            {
                return Err(self.bad(
                    name.span().start,
                    format!("the name \"{}\" is used twice", name.get_ref()),
                    "give every section a name of its own, such as jumper 1 and jumper 2",
                ));
            }
            seen.push(name.get_ref());
        }
        Ok(())
    }

    fn tangled(&self, written: &[Spanned<FileSection>], tangle: Tangle) -> Error {
        let (Tangle::Unknown(at) | Tangle::Forked(at) | Tangle::SecondStart(at) | Tangle::Loop(at)) =
            tangle;
        let section = written[at].get_ref();
        let name = section.name.get_ref();
        let link = section
            .after
            .as_ref()
            .map_or("", |link| link.get_ref().as_str());
        let offset = section
            .after
            .as_ref()
            .map_or(section.name.span(), Spanned::span)
            .start;
        let (what, remedy) = match tangle {
            Tangle::Unknown(_) => (
                format!("\"{name}\" comes after \"{link}\", which is no section of this chain"),
                "name a section of the same chain",
            ),
            Tangle::Forked(_) => (
                format!("\"{name}\" comes after \"{link}\", but so does another section"),
                "a chain is one row: let each section follow another one",
            ),
            Tangle::SecondStart(_) => (
                format!("\"{name}\" does not say after which section it comes"),
                "give every section but the first an after, or none of them",
            ),
            Tangle::Loop(_) => (
                format!("the chain runs in a circle at \"{name}\""),
                "leave the after out at the section next to the set",
            ),
        };
        self.bad(offset, what, remedy)
    }

    fn section(&self, written: &Spanned<FileSection>, side: Side) -> Result<Section> {
        let section = written.get_ref();
        let named = section.kind.get_ref();
        let kind = Kind::ALL
            .into_iter()
            .find(|k| k.as_str() == named)
            .ok_or_else(|| {
                let known: Vec<&str> = Kind::ALL.iter().map(|k| k.as_str()).collect();
                self.bad(
                    section.kind.span().start,
                    format!("the kind \"{named}\" is not known"),
                    &format!("write one of {}", known.join(", ")),
                )
            })?;
        let minutes =
            self.not_negative(section.minutes.as_ref(), kind.usual_minutes(), "minutes")?;
        let money = self.not_negative(section.money.as_ref(), 0.0, "money")?;
        let rigger = section.rigger.unwrap_or(kind.outer_end_on_tower());
        Ok(Section {
            name: section.name.get_ref().clone(),
            kind,
            side,
            weight: self.not_negative(section.weight.as_ref(), kind.usual_weight(), "weight")?,
            weight_stated: section.weight.is_some(),
            test: section.test.unwrap_or(true).then_some(TestPrice {
                minutes,
                money,
                rigger,
            }),
        })
    }

    fn check_chain(&self, written: &File, sections: &[Section]) -> Result<()> {
        self.no_twins(written.receive.iter().chain(&written.transmit))?;
        let whole = |what: &str, remedy: &str| Error::BadSetting {
            place: self.file.into(),
            what: what.into(),
            remedy: remedy.into(),
        };
        if written.transmit.is_empty() || sections.len() < 2 {
            return Err(whole(
                "there is no chain to search",
                "list at least two sections, those of [[transmit]] from the transmitter outwards",
            ));
        }
        if sections.len() > MOST_SECTIONS {
            return Err(Error::Limit {
                what: format!("{} has {} sections", self.file, sections.len()),
                limit: format!("{MOST_SECTIONS} sections"),
                remedy: "join sections that cannot be tested apart".into(),
            });
        }
        if sections.iter().map(|s| s.weight).sum::<f64>() <= 0.0 {
            return Err(whole(
                "all weights are 0",
                "give the suspected sections a weight",
            ));
        }
        Ok(())
    }

    fn results(
        &self,
        written: &[Spanned<FileResult>],
        sections: &[Section],
        usual_looks: u32,
    ) -> Result<Vec<TestResult>> {
        let read = |entry: &Spanned<FileResult>| {
            let entry = entry.get_ref();
            let named = entry.load_after.get_ref();
            let after = find(sections, named).ok_or_else(|| {
                self.bad(
                    entry.load_after.span().start,
                    format!("there is no section \"{named}\""),
                    "name a section as it is named in its chain",
                )
            })?;
            let stays = match entry.desense.get_ref().as_str() {
                "stays" => true,
                "gone" => false,
                other => {
                    return Err(self.bad(
                        entry.desense.span().start,
                        format!("desense is \"{other}\""),
                        "write stays or gone",
                    ));
                }
            };
            let looks = match &entry.looks {
                Some(looks) => self.looks(Some(looks))?,
                None => usual_looks,
            };
            let date = entry.date.as_ref().map(|date| match date {
                Date::Moment(moment) => moment.to_string(),
                Date::Text(text) => text.clone(),
            });
            Ok(TestResult {
                after,
                stays,
                looks,
                date,
            })
        };
        written.iter().map(read).collect()
    }

    fn looks(&self, value: Option<&Spanned<u32>>) -> Result<u32> {
        match value {
            None => Ok(1),
            Some(looks) if (1..=MOST_LOOKS).contains(looks.get_ref()) => Ok(*looks.get_ref()),
            Some(looks) => Err(self.bad(
                looks.span().start,
                format!("looks is {}", looks.get_ref()),
                "count how many times you looked, 1 or more",
            )),
        }
    }

    fn not_negative(&self, value: Option<&Spanned<f64>>, usual: f64, name: &str) -> Result<f64> {
        match value {
            None => Ok(usual),
            Some(value) if *value.get_ref() >= 0.0 && value.get_ref().is_finite() => {
                Ok(*value.get_ref())
            }
            Some(value) => Err(self.bad(
                value.span().start,
                format!("{name} is {}", value.get_ref()),
                "write a number that is 0 or more",
            )),
        }
    }

    /// A number above `above` and up to 1.
    fn share(
        &self,
        value: Option<&Spanned<f64>>,
        usual: f64,
        name: &str,
        above: f64,
    ) -> Result<f64> {
        match value {
            None => Ok(usual),
            Some(value) if *value.get_ref() > above && (0.0..=1.0).contains(value.get_ref()) => {
                Ok(*value.get_ref())
            }
            Some(value) => Err(self.bad(
                value.span().start,
                format!("{name} is {}", value.get_ref()),
                &format!("write a share above {} and up to 1", above.max(0.0)),
            )),
        }
    }
}

/// Index of the section with this name.
#[must_use]
pub fn find(sections: &[Section], name: &str) -> Option<usize> {
    sections
        .iter()
        .position(|s| s.name.eq_ignore_ascii_case(name.trim()))
}
