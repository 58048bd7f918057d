#include <openssl/evp.h>

#include <stdexcept>

#include "reports/sha256.hpp"

namespace sagbench::reports {
namespace {

void require(int code) {
  if (code != 1)
    throw std::runtime_error(
        "libcrypto gives no SHA-256; see OpenSSL's configuration on this computer");
}

EVP_MD_CTX* of(void* state) {
  return static_cast<EVP_MD_CTX*>(state);
}

}  // namespace

void Sha256::Free::operator()(void* state) const noexcept {
  EVP_MD_CTX_free(of(state));
}

Sha256::Sha256() : state_(EVP_MD_CTX_new()) {
  require(state_ ? EVP_DigestInit_ex(of(state_.get()), EVP_sha256(), nullptr) : 0);
}

void Sha256::add(std::string_view bytes) {
  require(EVP_DigestUpdate(of(state_.get()), bytes.data(), bytes.size()));
}

Sha256::Digest Sha256::finish() {
  Digest digest;
  require(EVP_DigestFinal_ex(of(state_.get()), digest.data(), nullptr));
  require(EVP_DigestInit_ex(of(state_.get()), nullptr, nullptr));  // the same kind again
  return digest;
}

}  // namespace sagbench::reports
