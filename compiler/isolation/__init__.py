"""Fault isolation: from a complaint to the next test, and to the fault.

The order of work is that of the published six-step method (NEETS module 19, NAVEDTRA 14191): verify, related symptoms,
probable causes, localise, isolate, repair and verify again.

    from compiler.isolation.bench import Bench         # one per variant; keeps what is computed
    bench = Bench(network, policy)                     # policy: the project's settings, for weights and tolerances
    bench.complaints()                                 # -> tuple[Complaint]: source, trouble codes, four for each load
    bench.complaint(id_or_title)                       # -> Complaint; raises IsolationError
    bench.custom(settings, observations, title="")     # -> Complaint made of what was set and seen

    from compiler.isolation.search import Search       # an immutable search; every step gives a new one
    search = Search.begin(bench, complaint)
    search.suspects, search.groups, search.cleared     # what is left, grouped; what is out, and why
    search.conflict, search.pairs                      # what contradicts; two faults that would explain it
    search.related                                     # -> tuple[Related]: symptoms worth a look, no tools
    search.next                                        # -> Choice | None: the next test, None when one group is left
    search.confirmation                                # -> Confirmation | None: shows the only cause there is
    search.choices                                     # -> tuple[Choice]: all useful tests, the best first
    search.choice(test_id)                             # -> Choice: any test by its id
    search.observe(observation)                        # something seen or measured anywhere
    search.answer(test_id, outcome)                    # outcome: index in Choice.outcomes, or a reading as a float
    search.refuse(test_id)                             # never offer it again
    search.undo()                                      # without the last event
    search.events                                      # -> tuple[Event]
    search.as_json(), Search.resumed(bench, data)      # plain dicts and lists

    from compiler.isolation.tree import tree           # tree(bench, complaint) -> Tree
    from compiler.isolation.testability import testability   # -> figures for checks: large groups, far places, splits

All values are in `compiler.isolation.types`.
"""
