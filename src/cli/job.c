/* What the commands on one build do alike between its file and their results. */
#include "cli/cli.h"

swl_status cli_in_load(cli_in *in, swl_err *err)
{
    swl_source source = cli_source(&in->inputs);
    swl_status status = swl_build_load(&source, in->options->file, &in->build, &in->diags, err);
    in->units = cli_units(in->options, &in->build);
    return status;
}

swl_status cli_in_read(cli_in *in, swl_err *err)
{
    swl_source source = cli_source(&in->inputs);
    swl_status status = cli_in_load(in, err);
    return status == SWL_OK ? cli_put_on_site(in->options, &source, &in->build, &in->diags, &in->at_fault, err)
                            : status;
}

swl_status cli_in_may_write(cli_in *in, const char *file, const char *word, swl_err *err)
{
    cli_stem(file, word, &in->stem);
    return cli_may_write_all(in->options, &in->inputs, swl_buf_text(&in->stem), err);
}

void cli_in_free(cli_in *in)
{
    swl_buf_free(&in->stem);
    swl_build_free(&in->build);
    swl_diag_free(&in->diags);
    cli_inputs_free(&in->inputs);
}

void cli_out_free(cli_out *out)
{
    swl_notes_free(&out->notes);
    swl_notes_free(&out->si_notes);
    swl_buf_free(&out->json);
    swl_buf_free(&out->csv);
    swl_buf_free(&out->text);
}

swl_status cli_notes_made(const swl_notes *notes, swl_err *err)
{
    return notes->failed ? swl_err_set(err, SWL_ERR_MEMORY, "out of memory for the notes") : SWL_OK;
}
