// Package costindex is what an analyst works out from prices over time: cost
// resampled by day, week or month, index numbers over a changing mix, what moved
// between two dates, and how far cost strayed in the past. It knows no row, no
// call and no clock; prices come in as numbers with dates.
//
// Money and index numbers are exact up to one rounding, which each function
// states. The one thing in floating point is price risk: see Risk.
package costindex
