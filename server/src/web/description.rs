//! The last touches to the API's description, alike for all answers.

use utoipa::openapi::path::Operation;
use utoipa::openapi::{Content, OpenApi, Ref, RefOr, Response};

use super::problem::PROBLEM_TYPE;

/// The description with words for every answer, and the media type that problems have.
pub(super) fn finished(mut api: OpenApi) -> OpenApi {
    for item in api.paths.paths.values_mut() {
        let all = [&mut item.get, &mut item.put, &mut item.post, &mut item.delete, &mut item.patch];
        for operation in all.into_iter().flatten() {
            finish(operation);
        }
    }
    api
}

fn finish(operation: &mut Operation) {
    for (status, response) in &mut operation.responses.responses {
        if let RefOr::T(response) = response {
            if response.description.is_empty() {
                response.description = words(status).to_owned();
            }
            if status.starts_with('4') {
                as_problem(response);
            }
        }
    }
}

fn as_problem(response: &mut Response) {
    let told = response.content.shift_remove("application/json");
    let content = told.unwrap_or_else(|| RefOr::T(Content::new(Some(Ref::from_schema_name("Problem")))));
    response.content.insert(PROBLEM_TYPE.to_owned(), content);
}

/// What an answer of that status means.
fn words(status: &str) -> &'static str {
    match status {
        "200" => "The answer.",
        "201" => "It is kept from now on.",
        "400" => {
            "A parameter that cannot be used: `where` names it, `value` is what was given, `allowed` what is wanted."
        }
        "403" => "Not for everybody, or not now.",
        "404" => "There is no such thing; `allowed` names those there are.",
        "409" => "What is there stands in the way.",
        "413" => "It is too long.",
        "422" => {
            "It can be read but not meant: `where` names the field, `value` is what was given, `allowed` what is wanted."
        }
        _ => "See `title`.",
    }
}
