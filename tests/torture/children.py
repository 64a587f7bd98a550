"""children.py - every request for memory of a run refused once, without as many whole runs: at each of
them the run forks, the child is refused and goes on to its end, the parent waits and goes on unharmed."""

import os
import subprocess

from bench import Result, dateless

ALONE = {"OMP_NUM_THREADS": 1}  # a child has no threads but the one that forked
END, BEGIN = -1, -2
HANGS = -14  # the alarm that the child has set


def read(name):
    with open(name, "rb") as file:
        return file.read()


def raw_files():
    return {os.path.join(folder, name): read(os.path.join(folder, name))
            for folder, _, names in os.walk("out") for name in names}


def put_back(state):
    """The files of `out` as they were, where they stand: the parent may have them open."""
    now = raw_files()
    for path in now.keys() - state.keys():
        os.unlink(path)
    for path, text in state.items():
        if now.get(path) != text:
            with open(path, "r+b" if path in now else "wb") as file:
                file.write(text)
                file.truncate()


class Family:
    def __init__(self, bench, case, on):
        self.bench, self.case, self.on = bench, case, on
        self.count = 0  # children
        self.parent = None  # its result, once all children were looked at

    def start(self, pipe):
        with open("input", "w", encoding="utf-8") as file:
            file.write(self.case.text)
        with open("input", "rb") as given, open("parent.out", "wb") as out, open("parent.err", "wb") as err:
            return subprocess.Popen(
                [self.bench.program] + self.case.words, stdin=given, stdout=out, stderr=err, pass_fds=pipe,
                env=self.bench.environment(TORTURE_FORK="%d,%d" % pipe, TORTURE_MEMORY_ON=self.on, **ALONE))

    def result(self, code, name):
        return Result("hangs" if code == HANGS else code, dateless(read(name + ".out")), read(name + ".err"),
                      self.bench.files())

    def children(self):
        """Number and result of each."""
        self.bench.lay_out(self.case)
        told, theirs_out = os.pipe()
        theirs_in, answer = os.pipe()
        parent = self.start((theirs_in, theirs_out))
        os.close(theirs_in)
        os.close(theirs_out)
        state = {}
        with os.fdopen(told) as lines:
            for line in lines:
                number, status = map(int, line.split())
                if status == BEGIN:
                    state = raw_files()
                elif status != END:
                    self.count = number
                    yield number, self.result(os.waitstatus_to_exitcode(status), "child")
                    put_back(state)
                os.write(answer, b".")
        os.close(answer)
        self.parent = self.result(parent.wait(), "parent")
