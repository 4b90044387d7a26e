//! The contract of the roads: what holds for every message between a board and the ledger, whichever broker is between them.
//!
//! One set of tests runs against the broker in the program and against a mosquitto as the broker outside, each with clients that speak
//! MQTT 5 and MQTT 3.1.1. What only one of the roads can show stands in `embedded_only` and `outside_only`.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)] // a test's helpers are part of the test

mod delivery;
mod embedded_only;
mod ledger;
mod lifetime;
mod logins;
mod mosquitto;
mod outside_only;
mod publisher;
mod raw;
mod rights;
mod road;
mod sockets;

/// Waits for something that must come, but not for ever.
async fn within<T>(what: &str, future: impl Future<Output = T>) -> T {
    let waited = tokio::time::timeout(raw::PATIENCE, future).await;
    waited.unwrap_or_else(|_| panic!("waited in vain for {what}"))
}

/// One test for each of these scenarios of a module, on one road.
macro_rules! scenarios {
    ($kind:ident, $version:literal, $module:ident: $($name:ident),* $(,)?) => {
        $(
            #[tokio::test(flavor = "multi_thread", worker_threads = 2)]
            async fn $name() {
                crate::$module::$name(crate::road::Kind::$kind, crate::road::Wishes::new($version)).await;
            }
        )*
    };
}

/// The whole contract on one road.
macro_rules! contract {
    ($road:ident, $kind:ident, $version:literal) => {
        mod $road {
            scenarios!($kind, $version, delivery:
                message_stored_is_acknowledged_and_arrives_as_it_was_sent,
                message_without_an_answer_from_the_ledger_comes_again_and_is_stored,
                message_refused_comes_again_until_it_is_stored_and_the_next_follows,
                message_sent_twice_reaches_the_ledger_twice_and_both_are_acknowledged,
                message_delivered_as_retained_is_flagged_and_a_fresh_one_is_not,
                message_at_qos_0_and_at_qos_2_is_stored_too,
                message_too_long_is_not_delivered_and_the_next_one_is,
                message_outside_all_contracts_passes_without_the_ledger,
                own_message_goes_out_is_kept_and_does_not_come_back,
            );
            scenarios!($kind, $version, lifetime:
                client_lost_leaves_its_last_will_with_the_ledger,
                client_that_says_goodbye_leaves_no_will,
                client_id_taken_over_ends_the_first_connection_and_the_second_works,
                end_with_open_clients_and_messages_on_the_way_is_prompt,
                road_run_again_goes_on,
            );
            scenarios!($kind, $version, rights:
                stranger_is_not_let_in,
                message_on_anothers_topic_is_never_delivered,
                will_on_a_forbidden_topic_is_never_delivered,
                subscription_wider_than_the_rights_hears_nothing_of_others,
            );
        }
    };
}

contract!(embedded_mqtt_5, Embedded, 5);
contract!(embedded_mqtt_3_1_1, Embedded, 4);
contract!(outside_mqtt_5, Outside, 5);
contract!(outside_mqtt_3_1_1, Outside, 4);
