//! The page that a member opens on a telephone: a recording, a few words, sent.

use super::fields::{Field, token, wrong};
use super::frame::{Kind, Page};
use super::words;
use crate::desk::view::{SendIn, Squelch};
use maud::{Markup, html};

/// The page. With the script it records, shows progress and goes on after a broken connection;
/// without, it is one form.
#[must_use]
pub fn send_in(view: &SendIn) -> String {
    let title = format!("Send in a recording of {}", view.repeater);
    let action = format!("/to/{}", view.key);
    let page = Page {
        scripts: &["recorder.js", "upload.js", "send.js"],
        ..Page::new(Kind::Member, &title, &view.shell)
    };
    page.around(&html! {
        h1 { "What do you hear on " (view.repeater) "?" }
        p.lead {
            @if let Some(output) = &view.output { "Output " (output) ". " }
            "Send in what you heard. The program listens for the trouble and tells you at once \
             what it finds; the repeater's keeper hears it too."
        }
        @if let Some(word) = &view.word { p.word { (word) } }
        (wrong(view.refused.as_deref()))
        form.send method="post" action=(action) enctype="multipart/form-data"
            data-uploads=(format!("{action}/uploads")) data-chunk=(view.limits.chunk_bytes)
            data-most=(view.limits.bytes) data-most-words=(words::size(view.limits.bytes))
            data-minutes=(view.limits.minutes) {
            (token(&view.shell))
            (sound(view))
            (questions(view))
            button.main.wide { "Send it in" }
            (sending())
        }
        p.quiet {
            "What you send is seen by the keepers of this repeater and by nobody else. No account, \
             no cookies to follow you, and the link on your receipt is yours alone."
        }
    })
}

fn sound(view: &SendIn) -> Markup {
    let most = format!(
        "Any sound file: voice memo, messenger note, scanner or SDR recording. Up to {}, {}.",
        words::size(view.limits.bytes),
        words::minutes(view.limits.minutes)
    );
    html! {
        fieldset.sound {
            legend { span.step { "1" } "The recording" }
            div.field {
                label for="recording" { "Choose a file" }
                p.hint id="recording-hint" { (most) }
                input id="recording" name="recording" type="file" required
                    accept="audio/*,video/webm,video/mp4,.wav,.mp3,.m4a,.ogg,.oga,.opus,.flac,.aiff,.aif,.caf,.mka,.webm,.mp4,.3gp,.amr"
                    aria-describedby="recording-hint";
            }
            div.recorder hidden {
                p.or { "or" }
                div.ready {
                    button type="button" data-record { span.dot aria-hidden="true" {} "Record right here" }
                    p.hint { "With this device's microphone, held to the radio's loudspeaker." }
                }
                div.running hidden {
                    p.time role="timer" { "0:00" }
                    meter min="0" max="1" low="0.05" high="0.95" optimum="0.5"
                        aria-label="Loudness" {}
                    p.hint.tell role="status" { "It records. Three minutes of it are best." }
                    button type="button" data-stop { "Stop" }
                }
                div.taken hidden {
                    p.taken-words role="status" {}
                    audio controls aria-label="What you recorded" {}
                    div.row {
                        button.slim type="button" data-again { "Throw it away" }
                        a.press.slim data-copy-file download="recording.webm" { "Keep a copy" }
                    }
                }
                p.notice.bad hidden role="alert" {}
            }
            (help())
        }
    }
}

fn help() -> Markup {
    html! {
        details.help {
            summary { "How to make a recording that tells something" }
            ol {
                li {
                    b { "While it happens. " }
                    "Three minutes of the dropping and coming back tell more than an hour of talk."
                }
                li {
                    b { "Squelch open, if your set lets you. " }
                    "The hiss between the transmissions shows to the millisecond when the carrier \
                     went. Tone squelch off."
                }
                li {
                    b { "Hold still. " }
                    "Telephone and radio side by side on a table, a hand's breadth apart, loud but \
                     not distorted."
                }
                li {
                    b { "Do not transmit beside it. " }
                    "A set that transmits in the same room deafens the one that listens, and then \
                     the recording shows only that."
                }
                li {
                    b { "Let it run. " }
                    "No pausing, no voice activation: the silences count as much as the sound."
                }
            }
            p.quiet { "Only listen. Nothing here asks you to transmit, to drive, or to climb." }
        }
    }
}

fn questions(view: &SendIn) -> Markup {
    let squelch: Vec<(String, String)> = (Squelch::ALL.iter())
        .map(|s| (s.as_str().to_owned(), words::squelch(*s).to_owned()))
        .collect();
    let typed = &view.typed;
    html! {
        fieldset.questions {
            legend { span.step { "2" } "A few words, if you like" }
            (Field::new("noticed", "What did you notice?", &typed.noticed)
                .hint("For instance: it keeps dropping and coming back while somebody talks.").area(3))
            (Field::new("place", "Where did you listen?", &typed.place)
                .hint("Town, hill or street is enough.").show())
            (Field::new("set", "On what?", &typed.set)
                .hint("For instance: handheld, mobile with roof antenna, scanner, web receiver.").show())
            (Field::new("squelch", "Squelch of that set", typed.squelch.as_str()).one_of(&squelch))
            (Field::new("sender", "Who are you?", &typed.sender)
                .hint("Name or call sign, if the keeper may ask you back.").show())
        }
    }
}

fn sending() -> Markup {
    html! {
        div.sending hidden {
            progress max="1" value="0" aria-label="Sent so far" {}
            p.sending-words role="status" {}
            div.row {
                button.slim type="button" data-now hidden { "Try now" }
                button.slim type="button" data-cancel { "Stop sending" }
            }
        }
        p.notice.bad.send-wrong hidden role="alert" {}
    }
}
