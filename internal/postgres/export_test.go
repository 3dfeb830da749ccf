package postgres

// For tests that look at the plan of the query.
const InForce = inForce

// For the test that lists what each code and constraint means.
var Translate = translate

// For the test that looks at the plan of what expires quotes.
const Ended = ended
