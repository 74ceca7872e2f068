"""Exit codes of every command."""

DONE = 0
BROKEN = 1
COMMAND = 2
MISTAKES = 3
NO_SOLUTION = 4
FILE = 5
BUG = 70

MEANING: dict[int, str] = {
    DONE: "done",
    BROKEN: "a must-rule breaks, or a safety rule is not known (check --strict)",
    COMMAND: "the command line is wrong",
    MISTAKES: "mistakes in the job",
    NO_SOLUTION: "the network has no solution",
    FILE: "a file can't be read or written",
    BUG: "a bug in wetside; the traceback tells where",
}
