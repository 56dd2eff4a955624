package cli

import (
	"context"
	"io"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"setshade/internal/report"
	"setshade/internal/workshop"
)

const reportLong = `Write a report of what is known, to read, print or keep: one HTML file that needs
no other, or a PDF for A4 and Letter, by the ending of its name.

  dye     a dye in a wax: its ladder, its curves, what doses will set to
  shelf   the dyes in every wax: what they reach, how well predictions hold
  batch   a batch of the log: what was poured, promised, and came out

What was learned is taken as it was learned last; learn again after new drops.`

func newReport(a *app) *cobra.Command {
	group := newGroup("report", "Write a report of a dye, the shelf or a batch", `  setshade report dye Bracken --out bracken.pdf
  setshade report shelf --out shelf.html
  setshade report batch 3 --out batch-3.pdf`)
	group.Long = reportLong
	group.AddCommand(newReportDye(a), newReportShelf(a), newReportBatch(a))
	return group
}

func newReportDye(a *app) *cobra.Command {
	var waxName string
	var out reportFile
	cmd := &cobra.Command{
		Use:   "dye NAME",
		Short: "Write all that is known of a dye in a wax",
		Long: `Write a report of a dye: what it is, its drops as patches, the shades that its
doses will set to in daylight and under other lights, its curves, the spectrum
that was learned of it, and how well all of it holds.`,
		Example:           "  setshade report dye Bracken --out bracken.html\n  setshade report dye \"Slate Hill\" --wax \"Harrow Soy\" --out slate-hill.pdf",
		Args:              oneName(dyeKind.noun, dyeKind.example),
		ValidArgsFunction: dyeKind.completeNames(a),
		RunE: func(cmd *cobra.Command, args []string) error {
			return writeReport(cmd, a, out, report.DyeHTML, report.DyePDF, func(ctx context.Context, w *workshop.Workshop) (workshop.DyeReport, error) {
				return w.ReportDye(ctx, waxName, args[0])
			})
		},
	}
	reportFlags(cmd, &out)
	waxFlag(a, cmd, &waxName, "`name` of the wax (else the only one on the shelf)")
	return cmd
}

func newReportShelf(a *app) *cobra.Command {
	var waxName string
	var out reportFile
	cmd := &cobra.Command{
		Use:   "shelf",
		Short: "Write what is known of all dyes",
		Long: `Write a report of the shelf: every dye from pale to strong, what all of them reach
together, predicted beside measured, the drops worth making next, and what is not
learned yet.`,
		Example: "  setshade report shelf --out shelf.html\n  setshade report shelf --wax \"Harrow Soy\" --out shelf.pdf",
		Args:    noArguments,
		RunE: func(cmd *cobra.Command, _ []string) error {
			return writeReport(cmd, a, out, report.ShelfHTML, report.ShelfPDF, func(ctx context.Context, w *workshop.Workshop) (workshop.ShelfReport, error) {
				return w.ReportShelf(ctx, waxName)
			})
		},
	}
	reportFlags(cmd, &out)
	waxFlag(a, cmd, &waxName, "`name` of the wax (else every wax)")
	return cmd
}

func newReportBatch(a *app) *cobra.Command {
	var out reportFile
	cmd := &cobra.Command{
		Use:   "batch NUMBER",
		Short: "Write what the log has of a batch",
		Long: `Write a report of a batch of the log: what was poured, in grams and as it is
counted, what was promised beside what came out, lots, notes, and what is unusual.`,
		Example:           "  setshade report batch 3 --out batch-3.html",
		Args:              numberedBatch.one,
		ValidArgsFunction: cobra.NoFileCompletions,
		RunE: func(cmd *cobra.Command, args []string) error {
			id, err := numberedBatch.number(cmd, args[0])
			if err != nil {
				return err
			}
			return writeReport(cmd, a, out, report.BatchHTML, report.BatchPDF, func(ctx context.Context, w *workshop.Workshop) (workshop.BatchReport, error) {
				return w.ReportBatch(ctx, id)
			})
		},
	}
	reportFlags(cmd, &out)
	return cmd
}

func waxFlag(a *app, cmd *cobra.Command, name *string, usage string) {
	cmd.Flags().StringVar(name, "wax", "", usage)
	completeFlag(cmd, "wax", waxKind.offerNames(a))
}

// reportFile is the path of the file that a report goes to.
type reportFile string

func reportFlags(cmd *cobra.Command, out *reportFile) {
	cmd.Flags().StringVar((*string)(out), "out", "", "write the report to an HTML or PDF `file`")
	replaceFlag(cmd)
	completeFlag(cmd, "out", filesOf("html", "pdf"))
}

// format is "html" or "pdf", or a refusal; also when the name is taken.
func (f reportFile) format(cmd *cobra.Command) (string, error) {
	switch ending := strings.ToLower(filepath.Ext(string(f))); {
	case f == "":
		return "", &usageError{"say where the report goes, with --out and a name that ends in .html or .pdf", helpOf(cmd)}
	case ending == ".html" || ending == ".pdf":
		return ending[1:], checkFree(cmd, "out", string(f))
	}
	return "", &usageError{"--out writes an HTML or a PDF; give its file a name that ends in .html or .pdf", helpOf(cmd)}
}

// reportJSON is the shape of a written report in JSON.
type reportJSON struct {
	Report string `json:"report"`
	Format string `json:"format"`
}

// writeReport gathers what a report shows and writes it, whole or not at all.
func writeReport[R any](cmd *cobra.Command, a *app, out reportFile, html, pdf func(io.Writer, R) error, gather func(context.Context, *workshop.Workshop) (R, error)) error {
	format, err := out.format(cmd)
	if err != nil {
		return err
	}
	r, err := ask(cmd.Context(), a, func(w *workshop.Workshop) (R, error) {
		return gather(cmd.Context(), w)
	})
	if err != nil {
		return err
	}
	draw := html
	if format == "pdf" {
		draw = pdf
	}
	if err := writeWhole("report", string(out), func(w io.Writer) error { return draw(w, r) }); err != nil {
		return err
	}
	return a.tell(reportJSON{string(out), format}, "The report is in "+string(out)+".\n")
}
