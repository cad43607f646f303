import json


def test_the_invented_workshop(run, demo_folder):
    said = run("looks", "--shop", demo_folder).stdout
    kept = json.loads(run("looks", "--shop", demo_folder, "--json").stdout)

    assert said.startswith("What your eye misses\nNothing to look at differently: ")
    assert "\n\nWet foam\nlooked like  boards  as it looked  more  less  otherwise, 19 in 20\n" in said
    assert {look["so"]["thing"] for look in kept["looks"]} >= {"infills", "wetness"}
    assert kept["tests"] >= 10


def test_a_range_says_how_boards_that_looked_so_turned_out(run, demo_folder):
    said = run("range", "rose nine-three", "--shop", demo_folder).stdout
    unsaid = run("range", "-q", "kind=major", "--shop", demo_folder).stdout
    kept = json.loads(run("range", "rose nine-three", "--shop", demo_folder, "--json").stdout)["looked_so"]

    assert "\nWet foam: of your 14 boards that looked wet, 6 turned out soaked.\n" in said
    assert (kept["thing"], kept["boards"], kept["more"]) == ("wetness", 14, 6)
    assert "that looked" not in unsaid  # what nobody spoke of did not look like anything
