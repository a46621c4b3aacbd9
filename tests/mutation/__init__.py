"""Single mutations of the library and of its data, and which of them the tests notice.

python -m tests.mutation --area physics --number 100 --seed 7      from the top folder
python -m tests.mutation --area physics --record                   the coverage map alone
python -m tests.mutation.cells                                     every number of every table

Not collected by pytest and no part of ``.ci/run``. Needs ``coverage`` beside the test group.
"""
