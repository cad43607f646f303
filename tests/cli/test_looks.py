import json


def test_the_invented_workshop(run, demo_folder):
    said = run("looks", "--shop", demo_folder).stdout
    kept = json.loads(run("looks", "--shop", demo_folder, "--json").stdout)

    assert said.startswith("What your eye misses\n\nTo look at differently\nFoam pieces to let in: of your ")
    assert "\n\nWet foam\nlooked like  boards  as it looked  more  less  otherwise, 19 in 20\n" in said
    assert {look["so"]["thing"] for look in kept["looks"]} >= {"infills", "wetness"}
    assert kept["tests"] >= 10


def test_a_range_says_how_boards_that_looked_so_turned_out(run, demo_folder):
    said = run("range", "tan nine-one", "--shop", demo_folder).stdout
    dry = run("range", "-q", "kind=major", "-q", "wetness=dry", "--shop", demo_folder).stdout
    kept = json.loads(run("range", "tan nine-one", "--shop", demo_folder, "--json").stdout)["looked_so"]

    assert "\nWet foam: of your 18 boards that looked damp, 9 turned out wet.\n" in said
    assert (kept["thing"], kept["boards"], kept["more"]) == ("wetness", 18, 9)
    assert (
        "that looked" not in dry
    )  # most dry boards are dry; what nobody spoke of did not look like anything
