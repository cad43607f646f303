"""Rules of thumb of a workshop that strips and sands."""


def rules(metre, sanding):
    """The rules as settings: 1 to 5 hours of set-up, and by the square metre these of stripping and of sanding."""
    ranges = (
        ("set-up", "strip", "once", (1, 5)),
        ("square metre", "strip", "area", metre),
        ("sanding", "sand", "area", sanding),
    )
    return "".join(
        f'[[rules]]\nname = "{name}"\nstage = "{stage}"\nper = "{per}"\nlow = {low}\nhigh = {high}\nodds = 0.8\n'
        for name, stage, per, (low, high) in ranges
    )
