// Package shade turns what was learned into what a maker asks: the shade a
// recipe will have once set, how sure that is, how it looks under other
// lights, and what was never tested.
package shade
