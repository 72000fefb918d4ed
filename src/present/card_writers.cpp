#include <fmt/format.h>

#include <algorithm>

#include "present/card_blocks.hpp"
#include "present/writers.hpp"

namespace frostread {

namespace {

using present::Block;
using present::BlockKind;
using present::Blocks;

std::size_t row_indent(const Blocks& blocks) {
    std::size_t widest = 0;
    for (const Block& block : blocks) {
        if (block.kind == BlockKind::row) {
            widest = std::max(widest, present::display_width(block.left));
        }
    }
    return std::min<std::size_t>(widest, 20) + 4;
}

}  // namespace

std::string card_text(const std::shared_ptr<const CompiledLibrary>& library, std::string_view id,
                      const TextStyle& style) {
    const Blocks blocks = present::make_card(library, id);
    const std::size_t indent = row_indent(blocks);
    std::string out;
    std::size_t step = 0;
    BlockKind before = BlockKind::title;
    for (const Block& block : blocks) {
        if (block.kind != BlockKind::step) {
            step = 0;
        }
        switch (block.kind) {
            case BlockKind::title:
                out += present::inked(block.text, present::Ink::bold, style) + "\n";
                break;
            case BlockKind::soft:
                out += (before == BlockKind::title ? "" : "\n") + present::wrapped(block.text, style.width, "", "  ") +
                       (before == BlockKind::title ? "\n" : "");
                break;
            case BlockKind::heading:
                out += "\n" + present::inked(block.text, present::Ink::bold, style) + "\n";
                break;
            case BlockKind::caution: {
                bool first = true;
                for (const std::string& part : present::wrap(block.text, style.width - 2)) {
                    out += present::inked((first ? "! " : "  ") + part, present::Ink::caution, style) + "\n";
                    first = false;
                }
                break;
            }
            case BlockKind::paragraph:
                out +=
                    (before == BlockKind::caution ? "\n" : "") + present::wrapped(block.text, style.width, "  ", "  ");
                break;
            case BlockKind::step: {
                const std::string mark = fmt::format("  {}. ", ++step);
                out += present::wrapped(block.text, style.width, mark, std::string(mark.size(), ' '));
                break;
            }
            case BlockKind::row: {
                std::string lead = "  " + block.left;
                if (present::display_width(lead) + 2 > indent) {
                    out += lead + "\n";
                    lead.clear();
                }
                out += present::wrapped(block.text, style.width, present::pad_right(lead, indent),
                                        std::string(indent, ' '));
                break;
            }
        }
        before = block.kind;
    }
    return out;
}

std::string card_html(const std::shared_ptr<const CompiledLibrary>& library, std::string_view id) {
    const Blocks blocks = present::make_card(library, id);
    const std::string title = blocks.empty() ? "card" : blocks.front().text;
    std::string body;
    BlockKind open = BlockKind::title;  // the kind of list that is open; title: none
    const auto close = [&] {
        if (open != BlockKind::title) {
            body += open == BlockKind::row ? "</table>\n" : open == BlockKind::step ? "</ol>\n" : "</ul>\n";
            open = BlockKind::title;
        }
    };
    for (const Block& block : blocks) {
        const bool listed =
            block.kind == BlockKind::row || block.kind == BlockKind::step || block.kind == BlockKind::caution;
        if (!listed || open != block.kind) {
            close();
        }
        if (listed && open == BlockKind::title) {
            body += block.kind == BlockKind::row    ? "<table>\n"
                    : block.kind == BlockKind::step ? "<ol>\n"
                                                    : "<ul class=\"cautions\">\n";
            open = block.kind;
        }
        const std::string text = present::html_escape(block.text);
        switch (block.kind) {
            case BlockKind::title:
                body += "<h1>" + text + "</h1>\n";
                break;
            case BlockKind::soft:
                body += "<p class=\"small\">" + text + "</p>\n";
                break;
            case BlockKind::heading:
                body += "<h2>" + text + "</h2>\n";
                break;
            case BlockKind::paragraph:
                body += "<p>" + text + "</p>\n";
                break;
            case BlockKind::caution:
            case BlockKind::step:
                body += "<li>" + text + "</li>\n";
                break;
            case BlockKind::row:
                body += fmt::format("<tr><td class=\"number\">{}</td><td>{}</td></tr>\n",
                                    present::html_escape(block.left), text);
                break;
        }
    }
    close();
    return "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n<title>" +
           present::html_escape(title) + "</title>\n<style>" + std::string(present::html_style()) +
           "</style>\n</head>\n<body>\n" + body + "</body>\n</html>\n";
}

}  // namespace frostread
