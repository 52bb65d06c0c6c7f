"""How surely and in how many minutes each cause is found, alone and beside its companions.

    python -m tests.benchmarks.rehearsals [--visits 3] [--jobs 1] [--causes CAUSE ...]

The rehearsals of ``python -m engine review --rehearse``, written to tests/benchmarks/output/: a row
for each setting in rehearsals.csv, as each is done, and in rehearsals.txt the hardest first, what
all come to, commonest causes that do not come out as stated, and checks that were never worth their
minutes. Both begin with the version of the knowledge; the folder is no part of the repository.
"""

import argparse
import csv
import sys
import time
from dataclasses import asdict
from pathlib import Path

from engine.visit import rehearsal, rehearsal_words
from engine.visit.keeping import KNOWLEDGE_FOLDER, knowledge

OUTPUT = Path(__file__).parent / "output"


def main(arguments=None) -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--visits", type=int, default=3, help="boilers for each setting (3)")
    parser.add_argument("--jobs", type=int, default=1, help="processes at once (1)")
    parser.add_argument("--causes", nargs="+", default=(), metavar="CAUSE", help="of these only")
    options = parser.parse_args(arguments)
    known, began = knowledge(KNOWLEDGE_FOLDER), time.perf_counter()
    settings, done = list(rehearsal.settings(known, options.causes)), []
    OUTPUT.mkdir(exist_ok=True)
    with (OUTPUT / "rehearsals.csv").open("w", newline="") as file:
        file.write(f"# knowledge {known.version}\n")
        table = None
        for one in rehearsal_words.rehearsed(
            KNOWLEDGE_FOLDER, settings, options.visits, options.jobs
        ):
            row = asdict(one) | {"asked": " ".join(one.asked)}
            if table is None:
                table = csv.DictWriter(file, row)
                table.writeheader()
            table.writerow(row)
            file.flush()
            done.append(one)
            print(
                f"\r{len(done)} of {len(settings)} rehearsed", end="", file=sys.stderr, flush=True
            )
    seconds = time.perf_counter() - began
    text = rehearsal_words.as_text(known, done, whole=not options.causes)
    head = f"knowledge {known.version}, {options.visits} visits a setting, {seconds:.0f} s\n\n"
    (OUTPUT / "rehearsals.txt").write_text(head + text + "\n")
    print(f"\n{head}{text}")


if __name__ == "__main__":
    main()
