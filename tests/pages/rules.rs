//! What holds for every page.

use super::PAGES;
use roxmltree::{Document, Node};
use std::collections::BTreeSet;
use tailbeat::desk::assets;

/// Elements that HTML leaves open.
const VOID: [&str; 5] = ["meta", "link", "input", "track", "img"];

/// HTML as XML, which our pages are but for void elements and bare attributes.
fn xml(html: &str) -> String {
    let mut text = html.replace("<!DOCTYPE html>", "").replace("&nbsp;", " ");
    for bare in [
        "required",
        "selected",
        "checked",
        "hidden",
        "defer",
        "controls",
        "default",
        "open",
        "data-record",
        "data-stop",
        "data-again",
        "data-copy-file",
        "data-copy",
        "data-now",
        "data-cancel",
        "data-print",
    ] {
        for end in [" ", ">"] {
            text = text.replace(&format!(" {bare}{end}"), &format!(" {bare}=\"\"{end}"));
            text = text.replace(&format!(" {bare}{end}"), &format!(" {bare}=\"\"{end}"));
        }
    }
    let mut out = String::new();
    let mut rest = text.as_str();
    while let Some(at) = rest.find('<') {
        out += &rest[..at];
        let end = rest[at..].find('>').unwrap() + at;
        let tag = &rest[at..end];
        out += tag;
        let name = tag[1..].split([' ', '>']).next().unwrap();
        out += if VOID.contains(&name) { "/>" } else { ">" };
        rest = &rest[end + 1..];
    }
    out + rest
}

/// Does something for every page, read as a tree.
fn for_each(mut check: impl FnMut(&str, &Document<'_>)) {
    assert!(PAGES.len() >= 20, "{} pages", PAGES.len());
    for (name, html) in PAGES.iter() {
        let text = xml(html);
        let page = Document::parse(&text).unwrap_or_else(|e| panic!("{name}: {e}"));
        check(name, &page);
    }
}

fn is(node: &Node<'_, '_>, names: &[&str]) -> bool {
    node.is_element() && names.contains(&node.tag_name().name())
}

#[test]
fn no_page_brings_style_or_script_within_itself() {
    for_each(|name, page| {
        for node in page.descendants().filter(Node::is_element) {
            let tag = node.tag_name().name();
            let a_file = super::samples::FILES.contains(&name);
            assert!(tag != "style" || a_file, "{name}: a style element");
            for attribute in node.attributes() {
                let of = attribute.name();
                assert!(of != "style", "{name}: a style on {tag}");
                assert!(!of.starts_with("on"), "{name}: {of} on {tag}");
                assert!(
                    !attribute.value().starts_with("javascript:"),
                    "{name}: {of}"
                );
            }
            if tag == "script" {
                assert!(node.text().is_none(), "{name}: a script within");
                assert!(
                    assets::at(node.attribute("src").unwrap()).is_some(),
                    "{name}"
                );
            }
        }
    });
}

#[test]
fn every_id_is_alone_and_every_reference_is_met() {
    for_each(|name, page| {
        let mut ids = BTreeSet::new();
        for node in page.descendants().filter(Node::is_element) {
            if let Some(id) = node.attribute("id") {
                assert!(ids.insert(id.to_owned()), "{name}: {id} twice");
            }
        }
        for node in page.descendants().filter(Node::is_element) {
            for of in ["for", "aria-describedby", "aria-labelledby"] {
                for id in node.attribute(of).unwrap_or("").split_whitespace() {
                    assert!(ids.contains(id), "{name}: {of} {id}");
                }
            }
            if let Some(id) = node.attribute("href").and_then(|h| h.strip_prefix('#')) {
                assert!(ids.contains(id), "{name}: #{id}");
            }
            // A refused form comes back on its own page, which the browser shows from there on.
            if let Some((_, id)) = node.attribute("action").and_then(|a| a.split_once('#')) {
                assert!(ids.contains(id), "{name}: action #{id}");
            }
        }
    });
}

#[test]
fn what_was_typed_into_a_refused_form_is_there_again_beside_why() {
    let of = |page: &str| &PAGES.iter().find(|(name, _)| name == page).unwrap().1;
    for (page, action) in [
        ("recording-note", "/recording/r1/note"),
        ("recording-correct", "/recording/r1/correct"),
        ("recording-case", "/recording/r1/case"),
        ("recording-delete", "/recording/r1/delete"),
        ("repeater", "/repeater/p0/delete"),
        ("keepers", "/keepers/invite"),
        ("account", "/account/tokens"),
    ] {
        let text = xml(of(page));
        let page_of = Document::parse(&text).unwrap();
        let is_it = |n: &Node<'_, '_>| {
            let to = n.attribute("action").and_then(|a| a.split('#').next());
            to == Some(action)
        };
        let form = page_of.descendants().find(is_it).unwrap();
        let typed = form.descendants().any(|n| {
            n.attribute("value") == Some(super::samples::EVIL)
                || n.text() == Some(super::samples::EVIL)
        });
        assert!(typed, "{page}: not there again");
        let before = form.prev_sibling_element().unwrap();
        assert_eq!(before.attribute("role"), Some("alert"), "{page}");
        let hidden =
            (form.ancestors()).any(|n| is(&n, &["details"]) && n.attribute("open").is_none());
        assert!(!hidden, "{page}: the complaint is folded away");
    }
}

#[test]
fn every_field_has_a_name_for_those_who_cannot_see_it() {
    for_each(|name, page| {
        let labelled: BTreeSet<_> = (page.descendants())
            .filter(|n| is(n, &["label"]))
            .filter_map(|n| n.attribute("for"))
            .collect();
        for field in page
            .descendants()
            .filter(|n| is(n, &["input", "select", "textarea"]))
        {
            let hidden = field.attribute("type") == Some("hidden");
            let within = field.ancestors().any(|n| is(&n, &["label"]));
            let by_id = field
                .attribute("id")
                .is_some_and(|id| labelled.contains(id));
            let said = field.attribute("aria-label").is_some_and(|l| !l.is_empty());
            assert!(hidden || within || by_id || said, "{name}: {field:?}");
        }
    });
}

#[test]
fn every_form_that_changes_something_carries_its_token() {
    let mut forms = 0;
    for_each(|name, page| {
        for form in page.descendants().filter(|n| is(n, &["form"])) {
            if form.attribute("method") != Some("post") {
                continue;
            }
            forms += 1;
            let first = form
                .descendants()
                .find(|n| is(n, &["input", "select", "textarea"]));
            let first = first.unwrap();
            // Before any file, so that a server can refuse before it reads on.
            assert_eq!(first.attribute("name"), Some("csrf"), "{name}");
            assert_eq!(
                first.attribute("value"),
                Some(super::samples::TOKEN),
                "{name}"
            );
        }
    });
    assert!(forms > 30, "{forms}");
}

#[test]
fn headings_go_down_one_step_at_a_time_from_one_first() {
    for_each(|name, page| {
        let levels: Vec<u32> = (page.descendants())
            .filter(|n| is(n, &["h1", "h2", "h3", "h4"]))
            .map(|n| n.tag_name().name()[1..].parse().unwrap())
            .collect();
        assert_eq!(levels.iter().filter(|l| **l == 1).count(), 1, "{name}");
        assert_eq!(levels[0], 1, "{name}");
        for pair in levels.windows(2) {
            assert!(
                pair[1] <= pair[0] + 1,
                "{name}: h{} under h{}",
                pair[1],
                pair[0]
            );
        }
    });
}

#[test]
fn what_others_typed_stays_text() {
    let evil = super::samples::EVIL;
    let mut pages = 0;
    for (name, html) in PAGES.iter() {
        assert!(!html.contains(evil), "{name}");
        pages += usize::from(html.contains("&lt;script&gt;alert(1)"));
    }
    assert!(pages >= 6, "what was typed is shown on {pages} pages only");
}

#[test]
fn readers_see_no_form_that_changes_anything_but_their_own() {
    for (name, html) in PAGES.iter().filter(|(name, _)| name.ends_with("-reader")) {
        let text = xml(html);
        let page = Document::parse(&text).unwrap();
        let actions: Vec<_> = (page.descendants())
            .filter(|n| is(n, &["form"]) && n.attribute("method") == Some("post"))
            .filter_map(|n| n.attribute("action"))
            .collect();
        assert_eq!(actions, ["/sign-out"], "{name}");
    }
}

#[test]
fn a_file_needs_nothing_beside_itself() {
    for name in super::samples::FILES {
        let (_, html) = PAGES.iter().find(|(n, _)| n == name).unwrap();
        let text = xml(html);
        let page = Document::parse(&text).unwrap();
        let mut pictures = 0;
        for node in page.descendants().filter(Node::is_element) {
            assert!(!is(&node, &["script", "link", "iframe"]), "{name}");
            for of in ["src", "href"] {
                assert_eq!(node.attribute(of), None, "{name}: {of}");
            }
            pictures += usize::from(is(&node, &["svg"]));
        }
        assert!(pictures > 0 && !html.contains("url(http") && !html.contains("@import"));
    }
}
