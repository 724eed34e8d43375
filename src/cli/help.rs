//! The longer texts of `--help`.

/// One line.
pub const ABOUT: &str = "Hears from a recording whether a radio repeater is deafening itself";

/// A paragraph.
pub const LONG_ABOUT: &str = "\
Hears from a recording whether a radio repeater is deafening itself.

Somebody complains that the repeater is noisy, or that it keeps dropping and coming back. Record \
its output for a few minutes, with any telephone, scanner or radio program, and let tailbeat \
listen: it finds every carrier drop and return, the hang time and the noise, and says what is \
going on, how sure that is, and what to do next.";

/// Under the short help.
pub const MORE: &str = "`tailbeat --help` has examples, `tailbeat COMMAND --help` all about one \
     command.";

/// Under the long help.
pub const EXAMPLES: &str = "\
Examples:
  What is going on here?
      tailbeat check evening.m4a
  The same with pictures, tables and a page to send around:
      tailbeat check evening.m4a --out evening
  You know that the hang time is 3 seconds; say so, it helps:
      tailbeat check evening.m4a --hang 3
  A hundred recordings, one line of JSON each:
      tailbeat check *.wav --json > results.jsonl
  A year of a logger's recordings, with a summary by site, month and hour:
      tailbeat batch logger --join --out heard
  Bash completions in the shell at hand:
      source <(tailbeat completions bash)

Exit status:
  0  analysed, whatever the verdict
  1  something could not be analysed; one line on standard error tells what
  2  wrong usage";

/// Under the long help of `check`.
pub const CHECK: &str = "\
Examples:
  A telephone's voice memo:
      tailbeat check memo.m4a
  Pictures, tables and a page, into the folder `memo`:
      tailbeat check memo.m4a --out memo
  A copy with markers at every event, for a sound editor:
      tailbeat check memo.m4a --out memo --markers
  Straight from another program:
      some-recorder | tailbeat check - --json
  All of a folder's recordings, one result a line, on one core:
      tailbeat check logger/*.wav --json --jobs 1
  A day's recording on one core instead of two, in a little less memory:
      tailbeat check day.flac --jobs 1
  The clips of a voice-activated recorder, put together by their start times:
      tailbeat check --clips scanner/2026-03-14_*.wav

A file named tailbeat.toml in the current folder, or named with --config, may state what you know \
of your station:
      [station]
      hang_s = 3.0
      listening = \"open_squelch\"
Where a flag and the file disagree, the flag counts.

How to record well: three minutes without a break while it happens, by cable rather than at the \
loudspeaker, voice activation off. With the squelch open every drop shows best.

Exit status: 0 analysed, whatever the verdict; 1 something could not be analysed; 2 wrong usage.";

/// Under the long help of `batch`.
pub const BATCH: &str = "\
Examples:
  A folder of a logger's recordings, a folder a site below it, overnight:
      tailbeat batch logger --join --out heard
  Cut short, by whatever? The same command goes on from there, and later hears what is new:
      tailbeat batch logger --join --out heard
  One line of JSON each, as each is done:
      tailbeat batch 'logger/**/2026-03-*.flac' > heard.jsonl
  For other engines: paths in, lines out:
      find logger -name '*.wav' | tailbeat batch - --root logger
  An S3-compatible store; address and keys come from AWS_ENDPOINT_URL, AWS_ACCESS_KEY_ID and so on:
      tailbeat batch s3://logger/hill --join --out heard

What --out keeps:
  results.jsonl        one line a recording; `tailbeat schema batch` describes it
  recordings.parquet   one row a recording, those that could not be read as well
  transmissions.parquet, drops.parquet, episodes.parquet
                       the field `recording` joins them; episodes go on over the borders of files
  summary.html         where, when and how often, with the hours that were heard
  seen.jsonl           what each file looked like, so that it need not be read again

The site is the folder right below the one that is named (logger/hill/...: hill), or what --site or
--site-folder says. A file counts as heard when its content was heard with the same settings and the
same version, whatever its name.

Exit status: 0 all analysed; 1 something could not be (its line tells why); 2 wrong usage.";

/// Under the long help of `watch`.
pub const WATCH: &str = "\
Examples:
  A radio program that writes WAV to its standard output:
      some-receiver | tailbeat watch --log watch.jsonl --keep episodes --keep-as flac
  Bare samples, as many radio programs write them:
      some-receiver | tailbeat watch --rate 48000 --format s16le
  A named pipe whose writer may go away and come back:
      tailbeat watch /run/radio.fifo --rate 16000 --format s16le --reopen
  On an alarm, write a mail, and send the last two minutes to the desk's send-in page:
      tailbeat watch radio.fifo --reopen --run 'mail -s cycling keeper' --post https://desk/to/KEY
  What would it have said last night?
      tailbeat watch night.wav --began 2026-03-01T22:00:00

On a terminal it draws the last minutes; otherwise it prints one line of JSON a happening, which
`tailbeat schema watch` describes. One episode is one alarm, however long it lasts. A source that
delivers nothing, not even silence, for ten seconds hangs, which is told as well as its return.

How long an alarm takes, and how often it is false, is measured: see reports/watch.md.

Exit status: 0 the source ended; 130, 143 stopped by Ctrl-C or SIGTERM; 1 the source could not be
read; 2 wrong usage.";
