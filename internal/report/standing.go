package report

import "setshade/internal/workshop"

// Standing writes in few lines where a maker stands and what to do next.
func Standing(path string, s workshop.Outlook) string {
	var t text
	t.prose("", "Setshade predicts the set shade of dyed wax. Your store %s has %s. Next:", path, s.Has)
	table := NewTable(Column{}, Column{})
	for _, n := range append(s.Next, [2]string{"setshade serve", "opens the bench page in a browser"},
		[2]string{"setshade demo", "shows the whole job on photographs that come along"}, [2]string{"setshade help", "explains all commands"}) {
		table.Row(n[0], n[1])
	}
	t.table("  ", table)
	return t.String()
}
