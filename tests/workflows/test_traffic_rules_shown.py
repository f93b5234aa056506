"""Traffic rules among the rules a person can list, show and write."""

import json

from resile.workflows.rules import list_rules, show_rules
from resile.workflows.schemas import schema_of


def test_traffic_rules_are_listed_and_shown_with_their_bands() -> None:
    """AASHTO M 323, Table 1 [recalled, high]: 2 steps standing, 1 slow from 0.3 million axle loads on."""
    listed = {entry["identifier"]: entry["kind"] for entry in list_rules().to_json()}
    assert listed["m323-raising"] == listed["m332-letters"] == "traffic rule"
    shown = show_rules("m323-raising").to_json()
    band = next(one for one in shown["bands"] if one["million"] == 0.3)
    assert (band["standing"], band["slow"], band["free"]) == ("2", "1", "0")
    json.dumps(shown)


def test_a_range_and_a_traffic_rule_have_a_schema_with_words_for_their_keys() -> None:
    rule, binders = schema_of("traffic-rule"), schema_of("range")
    assert {"gives", "specifications", "band"} <= rule["properties"].keys()
    assert rule["properties"]["gives"]["description"]
    assert binders["$defs"]["BinderModel"]["properties"]["stock_t"]["description"]
