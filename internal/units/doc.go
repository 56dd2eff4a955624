// Package units reads and writes the quantities of the bench: masses, volumes,
// counts of chips, drops and scoops, and shares in percent.
//
// Reading is forgiving, writing is exact. "1,5kg", "1 1/2 KG" and "1½ kilos" are
// all read as 1.5 kg, and every quantity that was read is written so that it is
// read back unchanged. What has two meanings is refused with both named: 1,500
// is a thousand and a half to one reader and one and a half to another, and a
// fluid ounce is 4 % larger in the United States than in Britain.
//
// The package is pure.
package units
