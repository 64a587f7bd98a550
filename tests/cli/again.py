"""A person at a terminal: a bad answer is asked for again, all others are kept.
usage: again.py PROGRAM FILE"""
import os
import pty
import subprocess
import sys

# inch or metric, stock, size, tape, glue (none will not do, then one that does), cooling, machine,
# cutter, operation, then an engagement deeper than the part is thick, the cut once more
ANSWERS = ["mm", "acetal", "70 mm x 40 mm x 3 mm", "crepe-masking", "none", "ca-thin", "", "",
           "flat-6mm-3", "slot", "6 mm x 4 mm", "flat-6mm-3", "slot", "6 mm x 0.3 mm"]
master, slave = pty.openpty()
child = subprocess.Popen([sys.argv[1], "new", sys.argv[2]], stdin=slave, stdout=subprocess.DEVNULL,
                         stderr=subprocess.PIPE)
os.write(master, ("\n".join(ANSWERS) + "\n").encode())
shown = child.communicate(timeout=30)[1].decode()
assert child.returncode in (0, 1), shown
assert "a single-sided tape needs glue" in shown, shown
assert "reaches through the part: 4 mm deep in 3 mm of stock is too much by 1 mm" in shown, shown
assert "All other answers are kept" in shown, shown
assert shown.count("Which tape") == 1 and shown.count("Which cutter") == 2, shown
text = open(sys.argv[2]).read()
for line in ("length = 70 mm", "stock = acetal", "glue = ca-thin", "axial = 0.3 mm"):
    assert line in text, text
