#include "wetrun/cmd/commands.h"

#include <string.h>

const struct wr_command wr_commands[WR_N_COMMAND] = {
#define ROW(id, function, modelled, ...) [WR_CMD_##id] = {.run = function, __VA_ARGS__},
    WR_COMMAND_TABLE(ROW)
#undef ROW
};

enum wr_command_id wr_command_id(const struct wr_command *command)
{
    return (enum wr_command_id)(command - wr_commands);
}

const struct wr_command *wr_command_find(const char *name)
{
    for (size_t i = 0; i < WR_N_COMMAND; i++) {
        const struct wr_command *c = &wr_commands[i];
        WR_BUG_IF(!c->name || !c->group || !c->summary || !c->example); /* half a row */
        if (strcmp(c->name, name) == 0) return c;
    }
    return NULL;
}

void wr_command_operands(const struct wr_command *command, struct wr_str *out)
{
    if (command->names) wr_str_add(out, command->names);
    if (!command->no_campaign) wr_str_addf(out, "%s[CAMPAIGN]", command->names ? " " : "");
}
