"""What choosing cables and fuses together saves on the demo vessels.

Run as ``python -m tests.benchmarks.bench_saving`` from the project's root. The peer is one
circuit at a time, the rule of thumb. Prices are those of the demo catalogue, invented.
"""

from __future__ import annotations

import sys
from time import perf_counter

from tests.benchmarks.world import temporary_database


def main() -> int:
    with temporary_database():
        from django.core.management import call_command

        from electrical.facts import load_facts
        from electrical.wiring.together import choose_together
        from fitout.jobs.models import Job

        call_command("load_demo", verbosity=0)
        is_dearer = is_worse = False
        for job in Job.objects.select_related("vessel").order_by("number"):
            began = perf_counter()
            found = choose_together(load_facts(job))
            alone, together = found.columns["one"], found.columns["together"]
            if alone.cost is None or together.cost is None:
                print(f"{job.code} {job.vessel.name}: a part without a price")
                continue
            is_dearer |= together.cost > alone.cost and together.stops >= alone.stops
            is_worse |= together.stops > alone.stops or together.attentions > alone.attentions
            saved = alone.cost - together.cost
            print(
                f"{job.code} {job.vessel.name}: together {together.cost:.2f}, one at a time "
                f"{alone.cost:.2f}, saved {saved:.2f} ({100 * saved / alone.cost:.1f} %), "
                f"{alone.mass_kg - together.mass_kg:.1f} kg less, "
                f"{together.stops - alone.stops:+d} stops, "
                f"{together.attentions - alone.attentions:+d} attentions, "
                f"{perf_counter() - began:.1f} s"
            )
            print(f"  {'proven the least' if found.is_proven else found.why_not_proven}")
    return int(is_dearer or is_worse)


if __name__ == "__main__":
    sys.exit(main())
