//! The receiver against another implementation (dcmtk), and against callers that do not keep to the rules.

mod common;

use common::{Memory, Running, film_file, rules, run, said, text};
use exchange_dicom::inbox::Refusal;
use exchange_dicom::receive::Rules;
use std::io::{Read, Write};
use std::net::TcpStream;
use std::time::Duration;

fn storescu(port: u16, options: &[&str], files: &[&str]) -> (bool, String) {
    let port = port.to_string();
    let mut all = vec!["-aet", "XRAY", "-aec", "TIEBEAM"];
    all.extend(options);
    all.extend(["127.0.0.1", &port]);
    all.extend(files);
    let output = run("storescu", &all);
    (output.status.success(), said(&output))
}

#[test]
fn an_echo_is_answered() {
    let receiver = Running::plain();
    let port = receiver.port.to_string();
    let output = run(
        "echoscu",
        &["-aet", "XRAY", "-aec", "TIEBEAM", "127.0.0.1", &port],
    );
    assert!(output.status.success(), "{}", said(&output));
}

#[test]
fn a_film_comes_in_byte_for_byte_in_every_syntax_that_the_other_side_can_write() {
    let folder = tempfile::tempdir().unwrap();
    let plain = folder.path().join("plain.dcm");
    std::fs::write(&plain, film_file(1)).unwrap();
    // Converter, its option, the sender's option, the transfer syntax.
    let cases: &[(&str, &[&str], &str, &str)] = &[
        ("dcmconv", &["+te"], "-xe", "1.2.840.10008.1.2.1"),
        ("dcmconv", &["+ti"], "-xi", "1.2.840.10008.1.2"),
        ("dcmconv", &["+tb"], "-xb", "1.2.840.10008.1.2.2"),
        ("dcmconv", &["+td"], "-xd", "1.2.840.10008.1.2.1.99"),
        ("dcmcrle", &[], "-xr", "1.2.840.10008.1.2.5"),
        ("dcmcjpeg", &["+e1"], "-xs", "1.2.840.10008.1.2.4.70"),
        ("dcmcjpeg", &["+ee"], "-xx", "1.2.840.10008.1.2.4.51"),
        ("dcmcjpls", &["+el"], "-xt", "1.2.840.10008.1.2.4.80"),
    ];
    for (converter, how, option, syntax) in cases {
        let receiver = Running::plain();
        let path = folder.path().join("sent.dcm");
        let mut all = how.to_vec();
        all.extend([text(&plain), text(&path)]);
        let output = run(converter, &all);
        assert!(output.status.success(), "{converter}: {}", said(&output));
        let (good, words) = storescu(receiver.port, &[option], &[text(&path)]);
        assert!(good, "{syntax}: {words}");
        let kept = receiver.inbox.kept.lock().unwrap();
        assert_eq!(kept.len(), 1, "{syntax}");
        assert_eq!(kept[0].transfer_syntax, *syntax);
        assert_eq!(kept[0].facts.patient_id.as_deref(), Some("T-0042"));
        // What came in opens as the film that was sent, pixel by pixel.
        let limits = film::Limits::default();
        let sent = film::open(&std::fs::read(&path).unwrap(), &limits).unwrap();
        let came = film::open(&kept[0].file, &limits).unwrap();
        assert_eq!(came.samples, sent.samples, "{syntax}");
    }
}

#[test]
fn many_films_come_over_one_association() {
    let receiver = Running::plain();
    let folder = tempfile::tempdir().unwrap();
    let paths: Vec<_> = (0..12)
        .map(|i| {
            let path = folder.path().join(format!("{i}.dcm"));
            std::fs::write(&path, film_file(i)).unwrap();
            path
        })
        .collect();
    let files: Vec<&str> = paths.iter().map(|p| text(p)).collect();
    let (good, words) = storescu(receiver.port, &[], &files);
    assert!(good, "{words}");
    assert_eq!(receiver.inbox.count(), 12);
}

#[test]
fn another_title_is_rejected_with_its_reason() {
    let receiver = Running::plain();
    let port = receiver.port.to_string();
    let asked = |calling: &str, called: &str| {
        let all = ["-aet", calling, "-aec", called, "127.0.0.1", &port];
        said(&run("echoscu", &all))
    };
    assert!(asked("STRANGER", "TIEBEAM").contains("Calling AE Title Not Recognized"));
    assert!(asked("XRAY", "OTHER").contains("Called AE Title Not Recognized"));
}

#[test]
fn a_known_title_from_an_unknown_address_is_rejected() {
    let mut rules = rules();
    rules.callers[0].from = vec!["192.0.2.0/24".parse().unwrap()];
    let receiver = Running::start(rules, Memory::default(), None);
    let port = receiver.port.to_string();
    let all = ["-aet", "XRAY", "-aec", "TIEBEAM", "127.0.0.1", &port];
    let words = said(&run("echoscu", &all));
    assert!(words.contains("Calling AE Title Not Recognized"), "{words}");
}

#[test]
fn an_object_that_is_too_large_gets_out_of_resources_and_nothing_is_kept() {
    let mut rules = rules();
    rules.limits.object_bytes = 4_000;
    let receiver = Running::start(rules, Memory::default(), None);
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a.dcm");
    std::fs::write(&path, film_file(1)).unwrap();
    let (_, words) = storescu(receiver.port, &["-v"], &[text(&path)]);
    assert!(
        words.to_lowercase().contains("outofresources") || words.contains("A700"),
        "{words}"
    );
    assert_eq!(receiver.inbox.count(), 0);
}

#[test]
fn an_inbox_that_has_no_room_makes_the_sender_keep_its_film() {
    let refusing = Memory {
        refuse: Some(Refusal::NoRoom("the disk is full".into())),
        ..Memory::default()
    };
    let receiver = Running::start(rules(), refusing, None);
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a.dcm");
    std::fs::write(&path, film_file(1)).unwrap();
    let (_, words) = storescu(receiver.port, &["-v"], &[text(&path)]);
    assert!(
        words.to_lowercase().contains("outofresources") || words.contains("A700"),
        "{words}"
    );
}

#[test]
fn a_class_that_is_not_taken_is_not_agreed() {
    let receiver = Running::plain();
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a.dcm");
    std::fs::write(&path, film_file(1)).unwrap();
    // The same film as a class that no foot film has.
    let output = run(
        "dcmodify",
        &[
            "-nb",
            "-m",
            "SOPClassUID=1.2.840.10008.5.1.4.1.1.20",
            text(&path),
        ],
    );
    assert!(output.status.success(), "{}", said(&output));
    let (good, _) = storescu(receiver.port, &[], &[text(&path)]);
    assert!(!good);
    assert_eq!(receiver.inbox.count(), 0);
}

fn raw(port: u16) -> TcpStream {
    let stream = TcpStream::connect(("127.0.0.1", port)).unwrap();
    stream
        .set_read_timeout(Some(Duration::from_secs(20)))
        .unwrap();
    stream
}

fn all_of(mut stream: TcpStream) -> Vec<u8> {
    let mut answer = Vec::new();
    let _ = stream.read_to_end(&mut answer);
    answer
}

#[test]
fn rubbish_is_answered_with_an_abort_and_the_next_caller_is_served() {
    let receiver = Running::plain();
    let cases: [&[u8]; 5] = [
        b"GET / HTTP/1.1\r\n\r\n",
        &[0xFF; 64],
        // Data before an association.
        &[4, 0, 0, 0, 0, 6, 0, 0, 0, 2, 1, 3],
        // A request that claims four gibibytes.
        &[1, 0, 0xFF, 0xFF, 0xFF, 0xFF],
        // A request of nothing but zeros.
        &[&[1, 0, 0, 0, 0, 68][..], &[0; 68]].concat(),
    ];
    for bytes in cases {
        let mut stream = raw(receiver.port);
        stream.write_all(bytes).unwrap();
        let answer = all_of(stream);
        assert_eq!(answer.first(), Some(&7), "{bytes:?}");
        assert_eq!(answer.len(), 10);
    }
    an_echo_from(receiver.port);
}

fn an_echo_from(port: u16) {
    let port = port.to_string();
    let all = ["-aet", "XRAY", "-aec", "TIEBEAM", "127.0.0.1", &port];
    let output = run("echoscu", &all);
    assert!(output.status.success(), "{}", said(&output));
}

#[test]
fn a_caller_that_breaks_off_in_the_middle_leaves_nothing_behind() {
    let receiver = Running::plain();
    let mut stream = raw(receiver.port);
    stream.write_all(&[1, 0, 0, 0, 1, 0, 0, 1]).unwrap();
    drop(stream);
    an_echo_from(receiver.port);
    assert_eq!(receiver.inbox.count(), 0);
}

#[test]
fn a_caller_that_says_nothing_is_let_go() {
    let mut rules = rules();
    rules.limits.first = Duration::from_millis(300);
    let receiver = Running::start(rules, Memory::default(), None);
    let answer = all_of(raw(receiver.port));
    assert_eq!(answer.first(), Some(&7));
}

fn request(calling: &str, contexts: u16) -> Vec<u8> {
    let mut body = vec![0, 1, 0, 0];
    body.extend(format!("{:<16}", "TIEBEAM").bytes());
    body.extend(format!("{calling:<16}").bytes());
    body.extend([0; 32]);
    let item = |kind: u8, value: &[u8]| {
        let mut out = vec![kind, 0];
        out.extend((value.len() as u16).to_be_bytes());
        out.extend(value);
        out
    };
    body.extend(item(0x10, b"1.2.840.10008.3.1.1.1"));
    for i in 0..contexts {
        let mut context = vec![(i * 2 + 1) as u8, 0, 0, 0];
        context.extend(item(0x30, b"1.2.840.10008.1.1"));
        context.extend(item(0x40, b"1.2.840.10008.1.2"));
        body.extend(item(0x20, &context));
    }
    body.extend(item(0x50, &item(0x51, &16384_u32.to_be_bytes())));
    let mut out = vec![1, 0];
    out.extend((body.len() as u32).to_be_bytes());
    out.extend(body);
    out
}

#[test]
fn one_association_too_many_is_rejected_for_the_moment() {
    let mut rules: Rules = rules();
    rules.limits.per_address = 1;
    let receiver = Running::start(rules, Memory::default(), None);
    let mut first = raw(receiver.port);
    first.write_all(&request("XRAY", 1)).unwrap();
    let mut kind = [0];
    first.read_exact(&mut kind).unwrap();
    assert_eq!(kind, [2]);
    let mut second = raw(receiver.port);
    second.write_all(&request("XRAY", 1)).unwrap();
    // Transient, by the service provider (presentation), local limit exceeded: PS3.8 table 9-21.
    assert_eq!(all_of(second), [3, 0, 0, 0, 0, 4, 0, 2, 3, 2]);
}

#[test]
fn more_contexts_than_there_are_numbers_for_end_the_association() {
    let receiver = Running::plain();
    let mut stream = raw(receiver.port);
    stream.write_all(&request("XRAY", 129)).unwrap();
    assert_eq!(all_of(stream).first(), Some(&7));
}

#[test]
fn a_film_that_is_cut_short_is_not_kept() {
    use exchange_dicom::dimse::{Command, STORE};
    let receiver = Running::plain();
    let whole = film_file(1);
    let start = exchange_dicom::tree::data_set_start(&whole).unwrap();
    let mut stream = raw(receiver.port);
    let class = "1.2.840.10008.5.1.4.1.1.1.1";
    let mut asked = request("XRAY", 0);
    // One context for digital radiographs, before the user information at the end.
    let mut context = vec![0x20, 0, 0, 0, 1, 0, 0, 0];
    for (kind, uid) in [(0x30, class), (0x40, "1.2.840.10008.1.2.1")] {
        context.extend([kind, 0, 0, uid.len() as u8]);
        context.extend(uid.bytes());
    }
    let length = context.len() as u16 - 4;
    context[2..4].copy_from_slice(&length.to_be_bytes());
    let at = asked.len() - 12;
    asked.splice(at..at, context);
    let length = asked.len() as u32 - 6;
    asked[2..6].copy_from_slice(&length.to_be_bytes());
    stream.write_all(&asked).unwrap();
    let mut head = [0; 6];
    stream.read_exact(&mut head).unwrap();
    assert_eq!(head[0], 2);
    let mut rest = vec![0; u32::from_be_bytes(head[2..6].try_into().unwrap()) as usize];
    stream.read_exact(&mut rest).unwrap();
    let command = Command {
        field: STORE,
        message_id: 1,
        sop_class: Some(class.into()),
        sop_instance: Some(exchange_dicom::uids::uid_of(uuid::Uuid::from_u128(1001))),
        has_data: true,
        status: None,
    };
    for (flags, data) in [
        (3_u8, command.write()),
        (2, whole[start..start + 3000].to_vec()),
    ] {
        let length = data.len() as u32 + 2;
        stream.write_all(&[4, 0]).unwrap();
        stream.write_all(&(length + 4).to_be_bytes()).unwrap();
        stream.write_all(&length.to_be_bytes()).unwrap();
        stream.write_all(&[1, flags]).unwrap();
        stream.write_all(&data).unwrap();
    }
    stream.read_exact(&mut head).unwrap();
    let mut rest = vec![0; u32::from_be_bytes(head[2..6].try_into().unwrap()) as usize];
    stream.read_exact(&mut rest).unwrap();
    let answer = Command::read(&rest[6..]).unwrap();
    assert_eq!(answer.status, Some(0xC000));
    assert_eq!(receiver.inbox.count(), 0);
}

#[test]
fn phantom_films_of_all_views_come_in_and_go_out_again_without_names() {
    use exchange_dicom::nameless::{Secret, nameless};
    use phantom::expose::{Exposure, dicom::Paper, expose};
    let foot = phantom::build(&phantom::FootSpec::adult()).unwrap();
    let receiver = Running::plain();
    let folder = tempfile::tempdir().unwrap();
    let mut sent = Vec::new();
    for (number, view) in terms::View::ALL.into_iter().enumerate() {
        let mut exposure = Exposure::usual(view);
        exposure.pixel_mm *= 4.0;
        exposure.width /= 4;
        exposure.height /= 4;
        let paper = Paper::invented(time::macros::datetime!(2026-05-04 10:30), number as u64 + 1);
        let file = expose(&foot, &exposure).unwrap().dicom(&paper).unwrap();
        let (plain, packed) = (
            folder.path().join("plain.dcm"),
            folder.path().join("packed.dcm"),
        );
        std::fs::write(&plain, &file).unwrap();
        let output = run("dcmcjpeg", &["+e1", text(&plain), text(&packed)]);
        assert!(output.status.success(), "{}", said(&output));
        let (good, words) = storescu(receiver.port, &["-xs"], &[text(&packed)]);
        assert!(good, "{words}");
        sent.push(file);
    }
    let limits = film::Limits::default();
    let kept = receiver.inbox.kept.lock().unwrap();
    assert_eq!(kept.len(), 4);
    for (came, file) in kept.iter().zip(&sent) {
        let copy = nameless(&came.file, "7", &Secret::new([3; 32]), &[]).unwrap();
        let (before, after) = (
            film::open(file, &limits).unwrap(),
            film::open(&copy.file, &limits).unwrap(),
        );
        assert_eq!(before.samples, after.samples);
        let told = |f: &film::Film| (f.header.view, f.header.side, f.header.stance);
        assert_eq!(told(&before), told(&after));
        assert_eq!(before.spacing, after.spacing);
    }
}
