"""What a program says on standard error at a terminal: no line over 80 columns, and the words that
it says into a file. usage: terminal.py PROGRAM ARGUMENT..."""
import os
import pty
import subprocess
import sys

piped = subprocess.run(sys.argv[1:], stderr=subprocess.PIPE, stdout=subprocess.DEVNULL).stderr
assert len(piped.splitlines()) == 1 and len(piped) > 80, piped

master, slave = pty.openpty()
subprocess.run(sys.argv[1:], stderr=slave, stdout=subprocess.DEVNULL)
os.close(slave)
shown = b""
try:
    while True:
        piece = os.read(master, 4096)
        if not piece:
            break
        shown += piece
except OSError:  # how the end shows on a terminal
    pass
lines = shown.decode().splitlines()
assert len(lines) > 1 and max(map(len, lines)) <= 80, lines
assert " ".join(lines).split() == piped.decode().split(), lines
