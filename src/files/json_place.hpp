#pragma once

#include <cstddef>
#include <string>
#include <string_view>

#include "files/json_document.hpp"
#include "frostread/diagnostic.hpp"

/// Collects what is wrong with one document, and turns offsets into places; only run once something
/// is wrong.
namespace frostread::json {

/// File, line, column and source line of an offset. A very long line is not copied.
[[nodiscard]] Place place_of(std::string_view text, std::string_view file_name, std::size_t offset);

class Problems {
public:
    explicit Problems(std::string file_name) : file_name_(std::move(file_name)) {}

    /// About a value.
    void error(const Value& at, std::string id, std::string what, std::string expected = "",
               std::string suggestion = "");
    /// About a member's key.
    void error_at_key(const Value& member, std::string id, std::string what, std::string expected = "",
                      std::string suggestion = "");
    void warning_at_key(const Value& member, std::string id, std::string what, std::string expected = "",
                        std::string suggestion = "");
    /// Anything else, put at a value.
    void add(const Value& at, Diagnostic diagnostic);

    void set_document(const Document& document) { document_ = &document; }
    [[nodiscard]] const std::string& file_name() const { return file_name_; }
    [[nodiscard]] bool has_errors() const { return errors_ > 0; }
    /// Everything, in the order of the text; a flood is cut, and the cut is said.
    [[nodiscard]] Diagnostics take();

private:
    void put(const Value& at, std::size_t offset, Diagnostic diagnostic);
    std::string file_name_;
    const Document* document_ = nullptr;
    Diagnostics diagnostics_;
    std::size_t errors_ = 0;
    std::size_t left_out_ = 0;
};

}  // namespace frostread::json
