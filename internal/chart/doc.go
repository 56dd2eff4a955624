// Package chart holds the published colours of the 24-patch chart that lies beside a
// card, so that a maker who has one needs no file of its colours.
//
// Charts of one edition differ among each other by about 1 dE00 (common practice, no
// source), and they fade: whoever has measured her own does better with a file.
package chart
