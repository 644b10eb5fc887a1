"""What is printed for people: cut-outs, a playbook, the operator's card, a poster, trace tables.  A module a kind."""
