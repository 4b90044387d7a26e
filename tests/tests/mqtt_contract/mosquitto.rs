//! A mosquitto of the test's own: a free port on loopback, a temporary folder, ended by its process id.

use std::io::Write;
use std::net::{Ipv4Addr, SocketAddr, TcpListener};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::Duration;

use tempfile::TempDir;
use tokio::net::TcpStream;

use crate::{logins, within};

pub struct Mosquitto {
    folder: TempDir,
    child: Option<Child>,
    pub addr: SocketAddr,
}

impl Mosquitto {
    /// Whether the program is there. Where it is not, the tests that need it are skipped aloud, or fail where `CI=true`.
    pub fn is_here() -> bool {
        let found = Command::new("mosquitto").arg("-h").stdout(Stdio::null()).stderr(Stdio::null()).status().is_ok();
        if !found {
            let in_ci = std::env::var("CI").is_ok_and(|value| value == "true");
            assert!(!in_ci, "mosquitto is absent, and CI=true allows no skipping");
            propstick_tests::data::skipped("the program mosquitto is absent");
        }
        found
    }

    /// Starts one with the rights of these tests, or open to all.
    pub async fn start(with_rights: bool) -> Mosquitto {
        let folder = TempDir::new().unwrap();
        let free = TcpListener::bind((Ipv4Addr::LOCALHOST, 0)).unwrap();
        let addr = free.local_addr().unwrap();
        drop(free);
        let mut config = format!(
            "listener {} 127.0.0.1\npersistence true\npersistence_location {}/\nmax_queued_messages 0\n",
            addr.port(),
            folder.path().display()
        );
        // Started by root it would give up root's rights and could not read the folder.
        config += "user root\n";
        if with_rights {
            let rights = write(folder.path(), "rights", &logins::mosquitto_rights());
            let words = passwords(folder.path());
            config += &format!("allow_anonymous false\nacl_file {rights}\npassword_file {words}\n");
        } else {
            config += "allow_anonymous true\n";
        }
        write(folder.path(), "mosquitto.conf", &config);
        let mut broker = Mosquitto { folder, child: None, addr };
        broker.start_again().await;
        broker
    }

    /// Starts it (again) on the same port with the store that is there.
    pub async fn start_again(&mut self) {
        let log = std::fs::File::create(self.folder.path().join("log")).unwrap();
        let child = Command::new("mosquitto")
            .arg("-c")
            .arg(self.folder.path().join("mosquitto.conf"))
            .stdout(Stdio::null())
            .stderr(log)
            .spawn()
            .expect("mosquitto starts");
        self.child = Some(child);
        within("mosquitto to listen", async {
            while TcpStream::connect(self.addr).await.is_err() {
                if let Some(ended) = self.child.as_mut().and_then(|child| child.try_wait().unwrap()) {
                    let log = std::fs::read_to_string(self.folder.path().join("log")).unwrap_or_default();
                    panic!("mosquitto ended at once ({ended}): {log}");
                }
                tokio::time::sleep(Duration::from_millis(10)).await;
            }
        })
        .await;
    }

    /// Ends it as a power cut would.
    pub fn kill(&mut self) {
        if let Some(mut child) = self.child.take() {
            child.kill().unwrap();
            child.wait().unwrap();
        }
    }

    /// Forgets sessions, queues and retained messages. Only while it does not run.
    pub fn lose_store(&self) {
        assert!(self.child.is_none());
        let _ = std::fs::remove_file(self.folder.path().join("mosquitto.db"));
    }
}

impl Drop for Mosquitto {
    fn drop(&mut self) {
        self.kill();
    }
}

fn write(folder: &Path, name: &str, text: &str) -> String {
    let path = folder.join(name);
    std::fs::File::create(&path).unwrap().write_all(text.as_bytes()).unwrap();
    path.display().to_string()
}

fn passwords(folder: &Path) -> String {
    let path = write(folder, "words", "");
    for name in [logins::BOARD, logins::OTHER_BOARD, logins::DEVICE, logins::PROGRAM] {
        let done = Command::new("mosquitto_passwd").args(["-b", &path, name, &logins::password(name)]).output();
        assert!(done.expect("mosquitto_passwd comes with mosquitto").status.success());
    }
    path
}
