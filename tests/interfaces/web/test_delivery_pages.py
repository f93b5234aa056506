"""Loads in the browser."""

from starlette.testclient import TestClient

from interfaces.web.forms import send
from interfaces.web.people import record_of
from kept_production import keep_season


def test_a_load_is_added_shown_and_corrected(client: TestClient) -> None:
    assert "No load is kept yet" in client.get("/deliveries").text
    typed = {"number": "77 <i>", "sent": "2026-05-02 06:30", "quantity_t": "much", "lot": "V-1"}
    refused = send(client, "/deliveries", page="/deliveries/new", **typed)
    assert refused.status_code == 422
    assert 'value="77 &lt;i&gt;"' in refused.text
    assert "Mass: &#39;much&#39; is no number" in refused.text
    kept = send(client, "/deliveries", page="/deliveries/new", **typed | {"quantity_t": "27,5"})
    assert kept.status_code == 303
    page = client.get("/deliveries").text
    assert 'href="/deliveries/Y-000001">77 &lt;i&gt;</a>' in page
    assert "2 things do not fit" in page
    again = send(client, "/deliveries/Y-000001", page="/deliveries/Y-000001", seen="1", **typed)
    assert again.status_code == 422
    told = typed | {"quantity_t": "27", "reason": "weighed anew"}
    assert (
        send(client, "/deliveries/Y-000001", page="/deliveries/Y-000001", seen="1", **told).status_code == 303
    )
    assert ">27</td>" in client.get("/deliveries").text


def test_a_table_is_kept_or_refused_with_the_place(client: TestClient) -> None:
    keep_season(record_of(client), lots=2, deliveries=False)
    text = "load,day,product,lot\n1,2026-03-02,Plant V (invented),V-001\n2,2026-03-02,Plant X,V-002\n"
    bad = send(client, "/deliveries/table", page="/deliveries/new", files={"table": ("a.csv", text)})
    assert bad.status_code == 422
    assert "line 3: the product &#39;Plant X&#39; is not kept" in bad.text
    good = text.replace("Plant X", "Plant V (invented)")
    kept = send(client, "/deliveries/table", page="/deliveries/new", files={"table": ("a.csv", good)})
    assert kept.status_code == 303
    assert "2 loads are kept." in client.get("/deliveries").text


def test_what_does_not_fit_is_told_with_what_to_do(client: TestClient) -> None:
    season = keep_season(record_of(client), lots=12)
    page = client.get(f"/deliveries/reconciliation?product={season.product}&since=2026-01-01").text
    assert "4 of 7 fit" in page
    assert "Certificate C-0003 is of lot V-003, and the load is of lot V-002." in page
    assert "Send the certificate of lot V-002; where that lot has none, test it." in page
    assert "No load left in this time." in client.get("/deliveries/reconciliation?since=2027-01-01").text
