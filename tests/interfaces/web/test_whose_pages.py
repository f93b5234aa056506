"""Products, tanks and customers in the browser."""

import pytest
from starlette.testclient import TestClient

from interfaces.web.forms import send
from interfaces.web.people import another, browser, first_person, record_of, sign_in
from resile.records.register import Customer


@pytest.mark.parametrize(
    ("address", "typed"),
    [
        ("/products", {"name": "Plain <i>", "grade": "64S-22", "maker": "M & Co"}),
        ("/customers", {"name": "Plain <i>", "contact": "by post"}),
        ("/tanks", {"name": "Plain <i>", "place": "quay", "temperature_c": "160,5"}),
    ],
)
def test_one_is_added_found_in_its_list_and_corrected_with_a_reason(
    client: TestClient, address: str, typed: dict[str, str]
) -> None:
    assert "is kept yet" in client.get(address).text
    page = send(client, address, page=address, **typed).headers["location"]
    assert f'href="{page}">Plain &lt;i&gt;</a>' in client.get(address).text
    assert "Plain &lt;i&gt;" in client.get(page).text
    refused = send(client, page, page=page, seen="1", **{**typed, "note": "by the gate"})
    assert refused.status_code == 422
    assert "a correction needs its reason" in refused.text
    assert ">by the gate</textarea>" in refused.text
    assert send(client, page, page=page, seen="1", reason="new", **{**typed, "note": "x"}).status_code == 303
    assert "note: nothing → x" in client.get(page).text


def test_a_form_that_is_refused_comes_back_filled(client: TestClient) -> None:
    typed = {"name": "Tank 2", "place": "quay", "temperature_c": "hot"}
    answer = send(client, "/tanks", page="/tanks", **typed)
    assert answer.status_code == 422
    assert "Storage temperature: " in answer.text
    assert 'value="hot"' in answer.text


def test_the_menu_shows_the_place_on_each_of_its_lists_and_to_no_customer(workbench) -> None:
    lab = workbench(signs_in=True)
    ada = first_person(lab)
    with record_of(lab).writing(by=ada.key, at="2026-05-12T10:00:00Z") as book:
        own = book.keep(Customer(name="Roads (invented)")).key
    another(lab, ada, "tess", "technician")
    another(lab, ada, "olu", "customer-reader", customer=own)
    tess, olu = sign_in(browser(lab), "tess"), sign_in(browser(lab), "olu")
    for address in ("/products", "/customers", "/tanks", f"/customers/{own}"):
        assert 'href="/products" aria-current' in tess.get(address).text
        answer = olu.get(address)
        assert answer.status_code == 403
        assert "Roads (invented)" not in answer.text
        assert 'href="/products"' not in answer.text
    assert 'href="/settings"' not in tess.get("/").text
    assert tess.get("/settings").status_code == 403
