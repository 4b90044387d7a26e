//! The word to stop, given once and heard by all.

use tokio::sync::watch;

/// Asks for the end, once and for all. Dropping it asks too.
#[derive(Debug)]
pub struct Stopper(watch::Sender<bool>);

/// The end that is asked to stop. Clones hear the same word.
#[derive(Clone, Debug)]
pub struct Stop(watch::Receiver<bool>);

impl Stop {
    /// A new pair.
    pub fn pair() -> (Stopper, Stop) {
        let (tx, rx) = watch::channel(false);
        (Stopper(tx), Stop(rx))
    }

    /// Whether the end has been asked for.
    pub fn is_stopped(&self) -> bool {
        *self.0.borrow() || self.0.has_changed().is_err()
    }

    /// Waits until the end is asked for. May be dropped and called again.
    pub async fn stopped(&self) {
        let mut heard = self.0.clone();
        // An error means that the other end is gone, which asks for the end too.
        let _ = heard.wait_for(|stop| *stop).await;
    }
}

impl Stopper {
    /// Asks for the end.
    pub fn stop(&self) {
        self.0.send_replace(true);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[tokio::test]
    async fn stop_asked_before_and_after_waiting_both_end_the_wait() {
        let (stopper, stop) = Stop::pair();
        assert!(!stop.is_stopped());
        let waiting = tokio::spawn({
            let stop = stop.clone();
            async move { stop.stopped().await }
        });
        stopper.stop();
        waiting.await.unwrap();
        stop.stopped().await;
        assert!(stop.is_stopped());
    }

    #[tokio::test]
    async fn stop_whose_asker_is_dropped_counts_as_asked() {
        let (stopper, stop) = Stop::pair();
        drop(stopper);
        stop.stopped().await;
        assert!(stop.is_stopped());
    }
}
