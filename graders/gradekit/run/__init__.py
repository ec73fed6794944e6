"""The grading run: what executes a class's notebooks, shut in, in parallel, and who writes the marks.

job         what is to be run and under which limits; what came back
template    one preloaded process, forked for each notebook in place of a fresh kernel
shut_in     bubblewrap around each fork: no network, read-only kit, its own scratch space
cells       runs a notebook's cells; the only module in which a learner's text could be run
workers     executors: threads here, machines elsewhere, each with a template of its own
grading     who is to be graded, and the one writer to nbgrader's gradebook
report      what became of everybody, for people and for scripts
"""
