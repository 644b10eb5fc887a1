"""Check evidence that Wordtight has written, without Wordtight.

    python checker EVIDENCE [--strategy FILE]        where this is a folder
    python checker.py EVIDENCE [--strategy FILE]     where it is one file

It needs nothing but Python: copy the folder anywhere, or have it written as one file by `wordtight check-evidence
--write-checker checker.py`.  It knows by itself how games of the families *marks*, *steps* and *advance* are played,
what house rules cost, and what the three claims ask; of any other game it follows the moves that the evidence lists,
and says that it trusts them.  docs/evidence.md tells what stands in a file of evidence.

Read it in this order.  No part needs a later one, so you may pass over all that your evidence is not about: a * is
before what a proof in noughts and crosses needs.

    * terms           30  the words for what it handles
    * boards         100  cells with names, lines of cells, how a position is written
    * marks           50  the rules of marks on free cells
      steps          150  the rules of men that go from point to point
      advance        110  the rules of men that go forward
    * house_rules    150  what wrong input costs; limits of plies
      listed          40  games whose moves are listed
      values          60  what best play comes to: best-value, quickest, fewest answers
    * shapes          40  what a line of the file must hold
    * proofs         180  every line of play gone through again
      plans           30  a proof for every trade-off
      turnings        60  boards that are alike: fewest answers
      picks          120  what there is to choose: fewest answers
      fewest         190  rows, weights and cases: fewest answers
      talk           100  what a program means by what it prints: drills
      conversations  220  what it prints, held against the rules: drills
      drills          40  the transcripts of a drill
    * file            60  the seal, and the kinds of evidence
    * checking        70  what is printed in the end, and the status

Status: 0 the evidence holds; 1 it does not; 2 the file is none; 3 part of it was not checked.
"""

from .checking import check
from .terms import Unreadable, Wrong

__all__ = ["Unreadable", "Wrong", "check"]
