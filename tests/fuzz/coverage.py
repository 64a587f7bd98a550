"""coverage.py DIRECTORY: how much of each reader the kept inputs of `make fuzz` reach, in edges of the
control flow as the fuzzer counts them, for the files that the reader calls."""

import collections
import glob
import os
import re
import subprocess
import sys

LINE = re.compile(r"^(UN)?COVERED_FUNC: hits: \d+ edges: (\d+)/(\d+) .* \S*/(src/\S+?):\d+", re.M)


def main():
    directory = sys.argv[1]
    for program in sorted(glob.glob(os.path.join(directory, "fuzz_*[a-z]"))):
        kind = os.path.basename(program)[5:]
        folders = [folder for folder in (os.path.join(directory, "corpus", kind), f"tests/fuzz/seeds/{kind}")
                   if os.path.isdir(folder)]
        if "." in kind or not folders:
            continue
        done = subprocess.run([program, "-runs=0", "-print_coverage=1", *folders], capture_output=True, text=True,
                              check=False, errors="replace")
        edges = collections.defaultdict(lambda: [0, 0])
        for _, reached, whole, path in LINE.findall(done.stderr):
            edges[path][0] += int(reached)
            edges[path][1] += int(whole)
        called = {path: pair for path, pair in edges.items() if pair[0] > 0}
        reached, whole = (sum(pair[i] for pair in called.values()) for i in (0, 1))
        print(f"{kind}: {reached} of {whole} edges, {100 * reached / max(whole, 1):.0f} %")
        for path, (part, all_of_it) in sorted(called.items()):
            print(f"    {path}: {part} of {all_of_it}")


main()
