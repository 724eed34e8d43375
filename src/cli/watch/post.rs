//! Sound sent to a desk's send-in page, as a browser's form would. What may pass is tried again;
//! what the other side refuses is not.

use crate::cli::tls;
use crate::error::{Error, Result};
use reqwest::{StatusCode, header};
use std::time::Duration;

/// A send is tried so often, a little later each time.
const TRIES: u32 = 5;
/// Before the second try; doubled each time.
const PAUSE: Duration = Duration::from_secs(2);
/// One try may take so long.
const PATIENCE: Duration = Duration::from_secs(60);
/// Parts of a form are parted by this; no sound holds it.
const BORDER: &str = "tailbeat-5f2c1f0e7a8d4b6c9e3a";
/// Where the desk sends those who may not be at a page.
const SIGN_IN: &str = "/sign-in";

/// Where to send, and how often to try.
#[derive(Debug, Clone)]
pub struct Post {
    url: reqwest::Url,
    pause: Duration,
}

/// What became of one try.
#[derive(Debug, PartialEq, Eq)]
enum Answer {
    /// It was taken.
    Taken,
    /// Another try would be answered alike.
    Refused(String),
    /// It may go better later.
    Failed(String),
}

impl Post {
    /// # Errors
    /// The address is none.
    pub fn to(text: &str) -> Result<Self> {
        let url = reqwest::Url::parse(text).ok();
        let url = url.filter(|u| matches!(u.scheme(), "http" | "https"));
        let url = url.ok_or_else(|| Error::BadSetting {
            place: "--post".into(),
            what: format!("{text} is no address to send to"),
            remedy: "give the whole address, such as the desk's send-in page".into(),
        })?;
        Ok(Self { url, pause: PAUSE })
    }

    /// Sends a WAV file; `complain` hears of each try that went wrong.
    pub fn send(&self, name: &str, wav: &[u8], mut complain: impl FnMut(String)) {
        // Secret words stand in addresses of this kind; they do not belong into complaints.
        let shown = self.url.host_str().unwrap_or("the address");
        let runtime = tokio::runtime::Builder::new_current_thread()
            .enable_all()
            .build();
        let Ok(runtime) = runtime else {
            return complain("no way to send".into());
        };
        tls::ready();
        let client = reqwest::Client::builder()
            .timeout(PATIENCE)
            .redirect(reqwest::redirect::Policy::none())
            .build();
        let client = match client {
            Ok(client) => client,
            Err(fault) => return complain(fault.without_url().to_string()),
        };
        let mut pause = self.pause;
        for attempt in 1..=TRIES {
            match runtime.block_on(self.try_once(&client, name, wav)) {
                Answer::Taken => return,
                Answer::Refused(why) => {
                    return complain(format!("{shown} refused the sound: {why}"));
                }
                Answer::Failed(why) => complain(format!(
                    "{shown} did not take the sound ({why}), try {attempt} of {TRIES}"
                )),
            }
            if attempt < TRIES {
                std::thread::sleep(pause);
                pause *= 2;
            }
        }
    }

    async fn try_once(&self, client: &reqwest::Client, name: &str, wav: &[u8]) -> Answer {
        let kind = format!("multipart/form-data; boundary={BORDER}");
        let request = client
            .post(self.url.clone())
            .header(header::CONTENT_TYPE, kind)
            .body(form(name, wav));
        match request.send().await {
            Ok(answer) => {
                let to = answer.headers().get(header::LOCATION);
                let to = to.and_then(|to| to.to_str().ok()).unwrap_or_default();
                judged(answer.status(), to)
            }
            Err(fault) => Answer::Failed(causes(&fault.without_url())),
        }
    }
}

/// A fault with what lies beneath it: the first one alone says no more than that sending failed.
fn causes(fault: &dyn std::error::Error) -> String {
    let mut said = fault.to_string();
    let mut deeper = fault.source();
    while let Some(cause) = deeper {
        said = format!("{said}: {cause}");
        deeper = cause.source();
    }
    said
}

/// What an answer means; `to` is where it leads.
fn judged(status: StatusCode, to: &str) -> Answer {
    let why = match status {
        // A form that was taken is answered with where to go next.
        StatusCode::SEE_OTHER | StatusCode::FOUND if !to.ends_with(SIGN_IN) => {
            return Answer::Taken;
        }
        status if status.is_success() => return Answer::Taken,
        status if status.is_server_error() => return Answer::Failed(status.to_string()),
        StatusCode::SEE_OTHER
        | StatusCode::FOUND
        | StatusCode::UNAUTHORIZED
        | StatusCode::FORBIDDEN => {
            "this page is not open to everybody; give the address of the desk's send-in page"
        }
        status if status.is_redirection() => {
            "the page lies elsewhere; open it in a browser and give the address that it shows"
        }
        StatusCode::NOT_FOUND | StatusCode::GONE => {
            "there is no such page; was the send-in link renewed?"
        }
        StatusCode::METHOD_NOT_ALLOWED => {
            "nothing can be sent to this page; give the address of the desk's send-in page"
        }
        StatusCode::PAYLOAD_TOO_LARGE => "it is larger than the desk takes",
        StatusCode::TOO_MANY_REQUESTS => "the desk takes no more for now",
        _ => "the other side does not understand it; is this the desk's send-in page?",
    };
    Answer::Refused(format!("{why} ({status})"))
}

/// As a browser sends the desk's form with one file.
fn form(name: &str, wav: &[u8]) -> Vec<u8> {
    let mut body = format!(
        "--{BORDER}\r\nContent-Disposition: form-data; name=\"noticed\"\r\n\r\n\
         tailbeat watch gave an alarm\r\n\
         --{BORDER}\r\nContent-Disposition: form-data; name=\"recording\"; filename=\"{name}\"\r\n\
         Content-Type: audio/wav\r\n\r\n"
    )
    .into_bytes();
    body.extend(wav);
    body.extend(format!("\r\n--{BORDER}--\r\n").bytes());
    body
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io::{Read, Write};
    use std::net::TcpListener;

    /// Sends to a server that gives these answers, one a connection; what was complained of, and
    /// how many connections came.
    fn sent_to(answers: &[&str]) -> (Vec<String>, usize) {
        let listener = TcpListener::bind("127.0.0.1:0").unwrap();
        let address = listener.local_addr().unwrap();
        let answers: Vec<String> = answers.iter().map(|a| (*a).to_owned()).collect();
        let server = std::thread::spawn(move || {
            let mut came = 0;
            for answer in answers {
                let (mut stream, _) = listener.accept().unwrap();
                came += 1;
                let (mut got, mut piece) = (Vec::new(), [0; 4_096]);
                let end = format!("--{BORDER}--\r\n");
                while !got.ends_with(end.as_bytes()) {
                    let n = stream.read(&mut piece).unwrap();
                    got.extend_from_slice(&piece[..n]);
                }
                // No answer at all is a network that broke. One connection an answer: the next try
                // must not go over this one while it closes.
                if !answer.is_empty() {
                    let head = format!(
                        "HTTP/1.1 {answer}\r\nconnection: close\r\ncontent-length: 0\r\n\r\n"
                    );
                    stream.write_all(head.as_bytes()).unwrap();
                }
            }
            came
        });
        let mut said = Vec::new();
        let mut post = Post::to(&format!("http://{address}/to/SECRET")).unwrap();
        post.pause = Duration::from_millis(5);
        post.send("x.wav", b"RIFF", |why| said.push(why));
        (said, server.join().unwrap())
    }

    #[test]
    fn what_is_refused_is_not_sent_again_and_the_reason_is_said() {
        for (answer, words) in [
            ("404 Not Found", "was the send-in link renewed?"),
            ("405 Method Not Allowed", "nothing can be sent"),
            ("413 Payload Too Large", "larger than"),
            ("429 Too Many Requests", "no more for now"),
            ("400 Bad Request", "does not understand"),
            (
                "308 Permanent Redirect\r\nlocation: https://x/",
                "lies elsewhere",
            ),
            ("303 See Other\r\nlocation: /sign-in", "not open to every"),
        ] {
            let (said, came) = sent_to(&[answer]);
            assert_eq!((said.len(), came), (1, 1), "{answer}: {said:?}");
            assert!(said[0].contains(words), "{answer}: {said:?}");
            assert!(!said[0].contains("SECRET"), "{said:?}");
        }
    }

    #[test]
    fn what_may_pass_is_tried_again_until_it_is_taken() {
        let (said, came) = sent_to(&[
            "503 Service Unavailable",
            "",
            "507 Insufficient Storage",
            "303 See Other\r\nlocation: /receipt/x",
        ]);
        assert_eq!((said.len(), came), (3, 4), "{said:?}");
        assert!(said[0].contains("503") && said[0].contains("try 1 of 5"));
        assert!(said[1].contains("try 2 of 5"), "{said:?}");
    }

    #[test]
    fn tries_have_an_end() {
        let (said, came) = sent_to(&["500 Internal Server Error"; 5]);
        assert_eq!((said.len(), came), (5, 5), "{said:?}");
        let nobody = TcpListener::bind("127.0.0.1:0").unwrap();
        let mut post = Post::to(&format!("http://{}/", nobody.local_addr().unwrap())).unwrap();
        drop(nobody);
        post.pause = Duration::from_millis(1);
        let mut said = Vec::new();
        post.send("x.wav", b"RIFF", |why| said.push(why));
        assert_eq!(said.len(), 5, "{said:?}");
        assert!(
            said.iter().all(|why| why.contains("refused")),
            "the cause is told: {said:?}"
        );
    }

    #[test]
    fn an_address_is_one_of_the_web() {
        assert!(Post::to("desk/to/KEY").is_err() && Post::to("ftp://desk/").is_err());
    }
}
