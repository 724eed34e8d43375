//! The antenna chain: from a form to the site file that `hunt` reads, and back. The file is what
//! is kept, with the results of the search in it.

use crate::desk::fault::{Fault, Outcome};
use crate::desk::view::{ChainForm, LoadTest, SectionForm};
use crate::present::site::leaf::Leaf;
use crate::present::site::{hunt as words, json};
use crate::site::chain::hunt::hunt;
use crate::site::chain::read::read;
use toml::{Table, Value};

/// How complaints call it.
const CHAIN: &str = "the chain";
/// Keys that are numbers beside the sections.
const FIGURES: [&str; 4] = ["hour_worth", "rigger_call", "shows", "looks"];

/// The site file of a form.
///
/// # Errors
/// It describes no chain that could be searched; the words say what is wrong.
pub fn file(form: &ChainForm) -> Outcome<String> {
    let mut table = Table::new();
    let typed = [
        &form.hour_worth,
        &form.rigger_call,
        &form.shows,
        &form.looks,
    ];
    for (key, typed) in FIGURES.into_iter().zip(typed) {
        put_number(&mut table, key, typed, key == "looks")?;
    }
    for (key, receive) in [("receive", true), ("transmit", false)] {
        let mut sections = Vec::new();
        for section in form.sections.iter().filter(|s| s.receive == receive) {
            if !section.name.is_empty() {
                sections.push(Value::Table(section_table(section)?));
            }
        }
        if !sections.is_empty() {
            table.insert(key.into(), Value::Array(sections));
        }
    }
    if !form.results.is_empty() {
        let results = form.results.iter().map(|r| Value::Table(result_table(r)));
        table.insert("result".into(), Value::Array(results.collect()));
    }
    let text = toml::to_string(&table).map_err(|fault| Fault::Broken(fault.to_string()))?;
    read(CHAIN, &text)?;
    Ok(text)
}

fn section_table(section: &SectionForm) -> Outcome<Table> {
    let mut table = Table::new();
    table.insert("name".into(), section.name.clone().into());
    table.insert("kind".into(), section.kind.clone().into());
    put_number(&mut table, "weight", &section.weight, false)?;
    if !section.test {
        table.insert("test".into(), false.into());
    }
    put_number(&mut table, "minutes", &section.minutes, false)?;
    put_number(&mut table, "money", &section.money, false)?;
    if section.rigger {
        table.insert("rigger".into(), true.into());
    }
    Ok(table)
}

fn result_table(result: &LoadTest) -> Table {
    let mut table = Table::new();
    table.insert("load_after".into(), result.after.clone().into());
    let desense = if result.stays { "stays" } else { "gone" };
    table.insert("desense".into(), desense.into());
    table.insert("looks".into(), i64::from(result.looks.max(1)).into());
    if !result.day.is_empty() {
        table.insert("date".into(), result.day.clone().into());
    }
    table
}

fn put_number(table: &mut Table, key: &str, typed: &str, whole: bool) -> Outcome<()> {
    if typed.is_empty() {
        return Ok(());
    }
    let bad = || Fault::Bad(format!("\"{typed}\" is no number ({key})"));
    let value = if whole {
        Value::Integer(typed.parse().map_err(|_| bad())?)
    } else {
        Value::Float(typed.replace(',', ".").parse().map_err(|_| bad())?)
    };
    table.insert(key.into(), value);
    Ok(())
}

/// The form of a site file.
///
/// # Errors
/// What is kept is no site file.
pub fn form(text: &str) -> Outcome<ChainForm> {
    let table: Table = text
        .parse()
        .map_err(|fault: toml::de::Error| Fault::Broken(fault.to_string()))?;
    let [hour_worth, rigger_call, shows, looks] = FIGURES.map(|key| shown(&table, key));
    let usual_looks = looks.parse().unwrap_or(1);
    let mut sections = Vec::new();
    for (key, receive) in [("receive", true), ("transmit", false)] {
        sections.extend(tables(&table, key).map(|section| section_form(section, receive)));
    }
    Ok(ChainForm {
        kept: true,
        sections,
        hour_worth,
        rigger_call,
        shows,
        looks,
        results: tables(&table, "result")
            .map(|result| LoadTest {
                after: shown(result, "load_after"),
                stays: shown(result, "desense") == "stays",
                looks: shown(result, "looks").parse().unwrap_or(usual_looks),
                day: shown(result, "date"),
            })
            .collect(),
    })
}

fn section_form(section: &Table, receive: bool) -> SectionForm {
    let truth = |key: &str, usual| section.get(key).and_then(Value::as_bool).unwrap_or(usual);
    SectionForm {
        receive,
        name: shown(section, "name"),
        kind: shown(section, "kind"),
        weight: shown(section, "weight"),
        test: truth("test", true),
        minutes: shown(section, "minutes"),
        money: shown(section, "money"),
        rigger: truth("rigger", false),
    }
}

fn tables<'a>(table: &'a Table, key: &str) -> impl Iterator<Item = &'a Table> + use<'a> {
    let list = table.get(key).and_then(Value::as_array);
    list.into_iter().flatten().filter_map(Value::as_table)
}

/// A value as it would be typed.
fn shown(table: &Table, key: &str) -> String {
    match table.get(key) {
        Some(Value::String(text)) => text.clone(),
        Some(other) => other.to_string(),
        None => String::new(),
    }
}

/// The plan of a site file, in words.
///
/// # Errors
/// What is kept is no site file.
pub fn plan(text: &str) -> Outcome<Leaf> {
    Ok(words::leaf(&hunt(&read(CHAIN, text)?)))
}

/// The plan of a site file, for programs.
///
/// # Errors
/// As [`plan`].
pub fn plan_json(text: &str) -> Outcome<String> {
    Ok(json::line(&json::HuntJson::from(&hunt(&read(
        CHAIN, text,
    )?))))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_form_goes_into_a_file_and_comes_back() {
        let mut form_1 = ChainForm::usual();
        form_1.kept = true;
        form_1.rigger_call = "600.0".into();
        form_1.looks = "2".into();
        form_1.results.push(LoadTest {
            after: "duplexer".into(),
            stays: true,
            looks: 3,
            day: "2031-05-04".into(),
        });
        let text = file(&form_1).unwrap();
        assert_eq!(form(&text).unwrap(), form_1);
    }

    #[test]
    fn results_move_the_plan() {
        let mut chain = ChainForm::usual();
        let before = plan(&file(&chain).unwrap()).unwrap();
        // The very test that it asks for: it must ask for another.
        assert!(before.headline.contains("arrestor"), "{}", before.headline);
        chain.results.push(LoadTest {
            after: "arrestor".into(),
            stays: false,
            looks: 1,
            day: String::new(),
        });
        let after = plan(&file(&chain).unwrap()).unwrap();
        assert_ne!(before.headline, after.headline);
    }

    #[test]
    fn a_chain_that_cannot_be_searched_is_refused_in_words() {
        let mut chain = ChainForm::usual();
        chain.sections[0].kind = "hat".into();
        assert!(matches!(file(&chain), Err(Fault::Library(_))));
        chain = ChainForm::usual();
        chain.sections[1].minutes = "soon".into();
        assert!(matches!(file(&chain), Err(Fault::Bad(_))));
    }
}
