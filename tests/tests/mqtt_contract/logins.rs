//! Who may do what in these tests: two boards, a foreign device, and the program itself at an outside broker.

use std::net::SocketAddr;

use propstick::transport::rights::{Access, Admission, Who, anyone_admitted, may_publish, may_subscribe};

/// The filter of the one mapping.
pub const MAPPING: &str = "site/+/air";
pub const BOARD: &str = "mac-02005efffe10a2b3";
pub const OTHER_BOARD: &str = "mac-02005efffe10a2b4";
pub const DEVICE: &str = "shed";
/// The program's own login at an outside broker.
pub const PROGRAM: &str = "propstick";

pub fn password(name: &str) -> String {
    format!("word of {name}")
}

pub fn report(board: &str, queue_and_numbers: &str) -> String {
    format!("propstick/v1/{board}/report/{queue_and_numbers}")
}

pub fn branch(board: &str, branch: &str) -> String {
    format!("propstick/v1/{board}/{branch}")
}

/// The doorkeeper of the broker in the program.
pub struct Table {
    /// Whether logins exist; without any, anyone on loopback is let in.
    pub logins: bool,
}

impl Access for Table {
    fn authenticate<'a>(&'a self, login: Option<(&'a str, &'a [u8])>, from: SocketAddr) -> Admission<'a> {
        let who = match login {
            None => anyone_admitted(self.logins, from).then_some(Who::AnyoneOnLoopback),
            Some((name, word)) if self.logins && word == password(name).as_bytes() => match name {
                BOARD | OTHER_BOARD => Some(Who::Board { part: name.to_owned() }),
                DEVICE => Some(Who::Foreign { name: name.to_owned() }),
                // A login that somebody made badly.
                "+" | "#" => Some(Who::Board { part: name.to_owned() }),
                _ => None,
            },
            Some(_) => None,
        };
        Box::pin(async move { who })
    }

    fn may_publish(&self, who: &Who, topic: &str) -> bool {
        may_publish(who, topic, &[MAPPING.to_owned()])
    }

    fn may_subscribe(&self, who: &Who, filter: &str) -> bool {
        may_subscribe(who, filter)
    }
}

/// The same rights in the words of mosquitto.
pub fn mosquitto_rights() -> String {
    let mut lines = format!("user {PROGRAM}\ntopic readwrite #\n\nuser {DEVICE}\ntopic write {MAPPING}\n");
    for board in [BOARD, OTHER_BOARD] {
        lines += &format!(
            "\nuser {board}\ntopic write propstick/v1/{board}/report/#\ntopic write propstick/v1/{board}/state\n\
             topic read propstick/v1/{board}/receipt\ntopic read propstick/v1/{board}/settings\n"
        );
    }
    lines
}
