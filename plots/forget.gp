# Between two charts of one run: nothing of the first may reach the second. (`reset session` would read files of the
# user's that may hold anything.) All of our numbers begin with a small letter; p is left out for the sake of pi, and no
# script asks whether a number that begins with p exists.
reset
undefine a* b* c* d* e* f* g* h* i* j* k* l* m* n* o* q* r* s* t* u* v* w* x* y* z*
undefine $*
