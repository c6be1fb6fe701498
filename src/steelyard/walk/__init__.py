"""The walk round a rig, as data: the stops, what is asked at each, what an answer becomes, and
which answer would tell most next."""
