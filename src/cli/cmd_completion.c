/* Completion of words on a command line, written from the tables of commands and options. */
#include "cli/cli.h"

#include <stdio.h>
#include <string.h>

static void put_options(const cli_command *command, const char *before)
{
    const char *separator = "";
    for (size_t i = 0; i < cli_option_count(); i++) {
        if (cli_takes(command, i)) {
            (void)printf("%s%s--%s", separator, before, cli_option_name(i));
            separator = " ";
        }
    }
}

/* The commands' names with a blank behind each. */
static void put_commands(void)
{
    for (size_t i = 0; i < cli_command_count; i++) {
        (void)printf("%s ", cli_commands[i].name);
    }
}

static void bash(void)
{
    (void)puts("# Completion of sweptline for bash: put it where your bash looks, or: . <(sweptline completion bash)\n"
               "_sweptline() {\n"
               "    local word=${COMP_WORDS[COMP_CWORD]} before=${COMP_WORDS[COMP_CWORD - 1]} options=\n"
               "    COMPREPLY=()\n"
               "    if [ \"$COMP_CWORD\" = 1 ]; then");
    (void)printf("        mapfile -t COMPREPLY < <(compgen -W '");
    put_commands();
    (void)puts("help --help --version' -- \"$word\")\n"
               "        return\n"
               "    fi\n"
               "    case $before in\n"
               "    --units) mapfile -t COMPREPLY < <(compgen -W 'si us' -- \"$word\"); return ;;\n"
               "    --format) mapfile -t COMPREPLY < <(compgen -W 'png svg pdf' -- \"$word\"); return ;;\n"
               "    --only) mapfile -t COMPREPLY < <(compgen -W 'map curves both' -- \"$word\"); return ;;\n"
               "    new) mapfile -t COMPREPLY < <(compgen -W 'build unit map' -- \"$word\"); return ;;\n"
               "    completion) mapfile -t COMPREPLY < <(compgen -W 'bash zsh' -- \"$word\"); return ;;\n"
               "    esac\n"
               "    case ${COMP_WORDS[1]} in");
    (void)printf("    help | man) mapfile -t COMPREPLY < <(compgen -W '");
    put_commands();
    (void)puts("' -- \"$word\"); return ;;\n"
               "    esac\n"
               "    case ${COMP_WORDS[1]} in");
    for (size_t i = 0; i < cli_command_count; i++) {
        (void)printf("    %s) options='", cli_commands[i].name);
        put_options(&cli_commands[i], "");
        (void)puts("' ;;");
    }
    (void)puts("    esac\n"
               "    if [ \"${word#-}\" != \"$word\" ]; then\n"
               "        mapfile -t COMPREPLY < <(compgen -W \"$options\" -- \"$word\")\n"
               "    else\n"
               "        mapfile -t COMPREPLY < <(compgen -f -- \"$word\")\n"
               "    fi\n"
               "}\n"
               "complete -o filenames -F _sweptline sweptline");
}

/* A text between single quotes that may hold one. */
static void put_quoted(const char *text)
{
    for (; *text != '\0'; text++) {
        if (*text == '\'') {
            (void)fputs("'\\''", stdout);
        } else if (*text == ':') {
            (void)fputs("\\:", stdout);
        } else {
            (void)putchar(*text);
        }
    }
}

static void zsh(void)
{
    (void)puts("#compdef sweptline\n"
               "# Completion of sweptline for zsh: put it as _sweptline into a folder of $fpath.\n"
               "local -a commands options\n"
               "commands=(");
    for (size_t i = 0; i < cli_command_count; i++) {
        (void)printf("    '%s:", cli_commands[i].name);
        put_quoted(cli_commands[i].summary);
        (void)puts("'");
    }
    (void)puts(")\n"
               "if (( CURRENT == 2 )); then\n"
               "    _describe command commands\n"
               "    return\n"
               "fi\n"
               "case $words[CURRENT-1] in\n"
               "    --units) compadd si us; return ;;\n"
               "    --format) compadd png svg pdf; return ;;\n"
               "    --only) compadd map curves both; return ;;\n"
               "    new) compadd build unit map; return ;;\n"
               "    completion) compadd bash zsh; return ;;\n"
               "esac\n"
               "case $words[2] in");
    (void)printf("    help | man) compadd ");
    put_commands();
    (void)puts("; return ;;\n"
               "esac\n"
               "case $words[2] in");
    for (size_t i = 0; i < cli_command_count; i++) {
        (void)printf("    %s) options=(", cli_commands[i].name);
        put_options(&cli_commands[i], "");
        (void)puts(") ;;");
    }
    (void)puts("esac\n"
               "if [[ $PREFIX == -* ]]; then\n"
               "    compadd -- $options\n"
               "else\n"
               "    _files\n"
               "fi");
}

int cli_completion(const cli_options *options)
{
    if (strcmp(options->file, "bash") == 0) {
        bash();
    } else if (strcmp(options->file, "zsh") == 0) {
        zsh();
    } else {
        cli_say("sweptline completion: read `%s`; bash or zsh is accepted", options->file);
        return 2;
    }
    return 0;
}
